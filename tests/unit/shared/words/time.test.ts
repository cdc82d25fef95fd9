import { expect, test } from 'vitest';
import { clock, duration } from '../../../../shared/words/alarm.ts';

const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

test.each([
  [-5 * SECOND_MS, '0 s'],
  [0, '0 s'],
  [40 * SECOND_MS, '40 s'],
  [59_999, '59 s'],
  [MINUTE_MS, '1 min'],
  [59 * MINUTE_MS + 59 * SECOND_MS, '59 min'],
  [HOUR_MS, '1 h'],
  [HOUR_MS + 5 * MINUTE_MS, '1 h 5 min'],
  [9 * HOUR_MS + 40 * MINUTE_MS, '9 h 40 min'],
  [47 * HOUR_MS + 59 * MINUTE_MS, '47 h 59 min'],
  [48 * HOUR_MS, '2 d'],
  [54 * HOUR_MS + 59 * MINUTE_MS, '2 d 6 h'],
])('%i ms is "%s"', (ms, words) => {
  expect(duration(ms)).toBe(words);
});

/** Wall-clock times by the rules of the IANA time zone database, written out by hand. */
test.each([
  ['00:00', 'UTC', '2026-06-01T00:00Z', '2026-06-01T23:59Z'],
  ['23:59 on Sun 31 May', 'UTC', '2026-05-31T23:59Z', '2026-06-01T00:01Z'],
  ['01:59', 'Europe/Oslo', '2026-05-31T23:59Z', '2026-06-01T00:01Z'],
  ['18:00 on Sun 31 May', 'America/New_York', '2026-05-31T22:00Z', '2026-06-01T04:00Z'],
  ['18:00', 'America/New_York', '2026-05-31T22:00Z', '2026-06-01T03:59Z'],
  ['05:45', 'Asia/Kathmandu', '2026-06-01T00:00Z', '2026-06-01T01:00Z'],
  ['03:00', 'Europe/Oslo', '2026-03-29T01:00Z', '2026-03-29T12:00Z'],
  ['12:00 on Mon 1 Jun 2026', 'UTC', '2026-06-01T12:00Z', '2037-06-01T12:00Z'],
] as const)('reads "%s" in %s for %s, at %s', (words, timeZone, atText, now) => {
  expect(clock(Date.parse(atText), { timeZone, nowMs: Date.parse(now) })).toBe(words);
});
