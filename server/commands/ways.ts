import { sendByWebhook, shownSecret } from '../adapters/notify/webhook.ts';
import { createPusher, keptPushKeys } from '../adapters/push/push.ts';
import { createMailer } from '../adapters/smtp/mail.ts';
import { systemClock as clock } from '../adapters/system/clock.ts';
import { keptSecret } from '../adapters/system/kept-secret.ts';
import type { Settings } from '../config.ts';
import type { Ways } from '../daemon/people-desk.ts';
import type { Carrier, Delivery, Keep } from '../ports.ts';

const SECRET_KEPT_AS = 'webhook-secret';

/** The ways by which this installation reaches people, with its keys, made once and kept in the data folder. */
export function openWays(
  { webhookUrl, mail, publicUrl }: Pick<Settings, 'webhookUrl' | 'mail' | 'publicUrl'>,
  keep: Keep,
): Ways {
  const secret = keptSecret(keep, SECRET_KEPT_AS);
  const keys = keptPushKeys(keep);
  const sendByPush = createPusher({ keys, contact: contactOf({ mail, publicUrl }) });
  const sendByMail = mail && createMailer(mail);
  const noMail: Delivery = {
    ...{ taken: false, forGood: false },
    error: 'no mail server is set: STRIKEWELL_SMTP_URL and STRIKEWELL_MAIL_FROM',
  };
  const carrier: Carrier = {
    async send(way, message) {
      switch (way.kind) {
        case 'webhook':
          return sendByWebhook(message, { url: way.url, secret, nowMs: clock.nowMs() });
        case 'mail':
          return sendByMail ? sendByMail(way, message) : noMail;
        case 'push':
          return sendByPush(way, message);
      }
    },
  };
  const houseWay = webhookUrl === null ? null : ({ kind: 'webhook', url: webhookUrl } as const);
  return {
    ...{ carrier, houseWay, pushKey: keys.publicKey, webhookSecret: shownSecret(secret) },
    can: { mail: mail !== null, webhook: true, push: true },
  };
}

/** Whom a push service may write to. @source [RFC8292] an address beginning with mailto: or https: */
function contactOf({ mail, publicUrl }: Pick<Settings, 'mail' | 'publicUrl'>): string {
  if (mail) return `mailto:${mail.from}`;
  if (publicUrl?.startsWith('https:') && new URL(publicUrl).hostname !== 'localhost') return publicUrl;
  return 'mailto:owner@strikewell.invalid';
}
