import type { Alarm } from '../model/alarm.ts';
import type { WayKind } from '../model/people.ts';
import { clock, type Reader } from './plain.ts';

/** How a way is named on the page and in messages; never with its address. */
export const WAY_WORDS: Readonly<Record<WayKind, string>> = {
  mail: 'e-mail',
  webhook: 'webhook',
  push: 'notification',
};

/** That somebody has taken an alarm, who and when. */
export function takenWords(
  { acknowledgedBy, acknowledgedAtMs }: Pick<Alarm, 'acknowledgedBy' | 'acknowledgedAtMs'>,
  reader: Reader,
): string {
  const who = acknowledgedBy ?? 'Somebody';
  return acknowledgedAtMs === null
    ? `${who} has taken it`
    : `${who} has taken it at ${clock(acknowledgedAtMs, reader)}`;
}
