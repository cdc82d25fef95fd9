import { setImmediate as soon } from 'node:timers/promises';
import { sendByWebhook } from '../../../../server/adapters/notify/webhook.ts';
import { createMailer } from '../../../../server/adapters/smtp/mail.ts';
import type { Carrier, Delivery } from '../../../../server/ports.ts';
import { anywhere } from '../../../support/outgoing.ts';
import type { Hand } from './hand.ts';

export const SECRET = Buffer.alloc(32, 7).toString('base64');

/** Hands over to a real mail server and real webhooks, by the clock of the test, and says when nothing is under way. */
export function realCarrier(hand: Hand, mailUrl: string) {
  const sendByMail = createMailer({ url: mailUrl, from: 'watch@bench.example' });
  let underWay = 0;
  const counted = async (sending: Promise<Delivery>) => {
    underWay++;
    try {
      return await sending;
    } finally {
      underWay--;
    }
  };
  const carrier: Carrier = {
    send(method, message, signal) {
      const at = {
        sendHttp: anywhere,
        ownAddresses: true,
        secret: SECRET,
        nowMs: hand.clock.nowMs(),
        signal,
      };
      if (method.kind === 'mail') return counted(sendByMail(method, message, signal));
      if (method.kind === 'webhook') return counted(sendByWebhook(message, { url: method.url, ...at }));
      throw new Error('no push here');
    },
  };
  const idle = async () => {
    await soon();
    while (underWay > 0) await soon();
    await soon();
  };
  return { carrier, idle };
}

/** Lets time pass in steps, with what is sent on the way handed over before the next. */
export async function passSending(
  hand: Hand,
  { lastsMs, stepMs, idle }: { lastsMs: number; stepMs: number; idle: () => Promise<void> },
): Promise<void> {
  for (let passedMs = 0; passedMs < lastsMs; passedMs += stepMs) {
    hand.pass(stepMs);
    await idle();
  }
}
