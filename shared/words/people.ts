import type { Alarm } from '../model/alarms/alarm.ts';
import type { ContactMethodKind } from '../model/people/people.ts';
import type { GapReason } from '../wire/people.ts';
import { clock, type Reader } from './plain.ts';

/** How a contact method is named on the page and in messages; never with its address. */
export const CONTACT_METHOD_WORDS: Readonly<Record<ContactMethodKind, string>> = {
  mail: 'e-mail',
  webhook: 'webhook',
  push: 'notification',
};

/** Why a contact method needs to be set up again after a restore, and what to do. */
export const GAP_WORDS: Readonly<Record<GapReason, string>> = {
  'push-keys': 'the browser was set up with a key that is gone; open this page in it and add it again',
  'webhook-secret':
    'messages are signed with another secret since the restore; give the receiver the secret shown under People, then save the webhook again',
  'no-mail-server':
    'no mail server is set on this computer; set STRIKEWELL_SMTP_URL and STRIKEWELL_MAIL_FROM',
  'no-webhook-url': 'STRIKEWELL_WEBHOOK_URL is not set on this computer; set it again',
};

/** That somebody has taken an alarm, who and when. */
export function takenWords(
  { acknowledgedBy, acknowledgedAtMs }: Pick<Alarm, 'acknowledgedBy' | 'acknowledgedAtMs'>,
  reader: Reader,
): string {
  const who = acknowledgedBy ?? 'Somebody';
  return acknowledgedAtMs === null
    ? `${who} acknowledged it`
    : `${who} acknowledged it at ${clock(acknowledgedAtMs, reader)}`;
}
