import { INSTALLATION_WEBHOOK_ID, type NewContactMethod } from '../../../shared/model/people/people.ts';
import { createOutgoing } from '../../adapters/notify/outgoing.ts';
import { sendByWebhook, shownSecret } from '../../adapters/notify/webhook.ts';
import { createPusher, readPushKeys } from '../../adapters/push/push.ts';
import { createMailer } from '../../adapters/smtp/mail.ts';
import { systemClock as clock, systemTimers as timers } from '../../adapters/system/clock.ts';
import { interfaceAddresses } from '../../adapters/system/interfaces.ts';
import type { Settings } from '../../config.ts';
import { withDeadlines } from '../../daemon/notify/deadlines.ts';
import type { ContactMethods } from '../../daemon/services/people-service.ts';
import { isOwnAddress } from '../../domain/access/own-address.ts';
import type { Carrier, Delivery, SendHttp } from '../../ports.ts';
import type { Keys } from '../keys.ts';

const NO_MAIL: Delivery = {
  delivered: false,
  forGood: false,
  error: 'no mail server is set: STRIKEWELL_SMTP_URL and STRIKEWELL_MAIL_FROM',
};

/** Sends requests to outsiders' addresses; those of this computer itself only where that is allowed. */
export function openOutgoing(): SendHttp {
  return createOutgoing((address) => isOwnAddress(address, interfaceAddresses()));
}

type ContactMethodsDeps = {
  readonly keys: Keys;
  readonly sendHttp: SendHttp;
  /** whether an owner password is set */
  readonly closed: () => boolean;
};

/** The contact methods by which this installation reaches people, each attempt with its deadline. */
export function openContactMethods(
  { webhookUrl, mail, publicUrl }: Pick<Settings, 'webhookUrl' | 'mail' | 'publicUrl'>,
  { keys, sendHttp, closed }: ContactMethodsDeps,
): ContactMethods {
  const secret = keys['webhook-secret'];
  const pushKeys = readPushKeys(keys['push-keys']);
  const open = () => !closed();
  const contact = contactOf({ mail, publicUrl });
  const sendByPush = createPusher({ keys: pushKeys, contact, sendHttp, ownAddresses: open });
  const sendByMail = mail && createMailer(mail);
  const carrier: Carrier = {
    async send(method, message, signal) {
      switch (method.kind) {
        case 'webhook': {
          // what the settings name is the owner's word
          const ownAddresses =
            message.wayId === INSTALLATION_WEBHOOK_ID || method.ownAddresses === true || open();
          const { url } = method;
          return sendByWebhook(message, {
            sendHttp,
            url,
            ownAddresses,
            secret,
            signal,
            nowMs: clock.nowMs(),
          });
        }
        case 'mail':
          return sendByMail ? sendByMail(method, message, signal) : NO_MAIL;
        case 'push':
          return sendByPush(method, message, signal);
      }
    },
  };
  const installationWebhook: ContactMethods['installationWebhook'] =
    webhookUrl === null ? null : { kind: 'webhook', url: webhookUrl };
  return {
    carrier: withDeadlines(carrier, { timers }),
    installationWebhook,
    pushKey: pushKeys.publicKey,
    webhookSecret: shownSecret(secret),
    isOwnHost: (method) => closed() && isOwnHost(method),
    can: { mail: mail !== null, webhook: true, push: true },
  };
}

/** Whether an address names this computer itself by its very words, without asking a name server. */
function isOwnHost(method: NewContactMethod): boolean {
  if (method.kind === 'mail') return false;
  const { hostname } = new URL(method.kind === 'push' ? method.subscription.endpoint : method.url);
  const bare = hostname.replace(/^\[|\]$/g, '');
  if (/^(.+\.)?localhost$/.test(bare)) return true;
  const isLiteral = bare.includes(':') || /^\d+(\.\d+){3}$/.test(bare);
  return isLiteral && isOwnAddress(bare, interfaceAddresses());
}

/** Whom a push service may write to. @source [RFC8292] an address beginning with mailto: or https: */
function contactOf({ mail, publicUrl }: Pick<Settings, 'mail' | 'publicUrl'>): string {
  if (mail) return `mailto:${mail.from}`;
  if (publicUrl?.startsWith('https:') && new URL(publicUrl).hostname !== 'localhost') return publicUrl;
  return 'mailto:owner@strikewell.invalid';
}
