import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { clock } from '../../../../shared/words/plain.ts';
import {
  clockTicks,
  clockTime,
  momentWords,
  readIn,
  tickHours,
  wallTime,
  withLocalTimes,
} from '../../../../web/common/time.ts';
import { HOUR_MS, NOW_MS } from '../examples.ts';

const BERLIN = 'Europe/Berlin';

// Europe/Berlin keeps UTC+1 in winter and UTC+2 from the last Sunday of March, 01:00 UTC (IANA tz database).
test('14:06 UTC on 5 March 2026 is 15:06 in Berlin', () => {
  expect(clockTime({ atMs: NOW_MS, timeZone: BERLIN })).toBe('15:06');
});

test('today is written by the clock alone, yesterday with its weekday, 8 days ago with its date, last year with the year', () => {
  const words = (atMs: number) => momentWords({ atMs, nowMs: NOW_MS, timeZone: 'UTC' });
  expect(words(Date.UTC(2026, 2, 5, 3, 40))).toBe('03:40');
  expect(words(Date.UTC(2026, 2, 4, 23, 50))).toBe('Wed 23:50');
  expect(words(Date.UTC(2026, 1, 25, 6, 0))).toBe('25 Feb, 06:00');
  expect(words(Date.UTC(2025, 10, 3, 6, 0))).toBe('3 Nov 2025, 06:00');
});

test('20 minutes earlier carries its weekday when midnight of the house lies between', () => {
  const nowMs = Date.UTC(2026, 2, 4, 23, 10); // 00:10 on Thursday in Berlin
  expect(momentWords({ atMs: nowMs - HOUR_MS / 3, nowMs, timeZone: BERLIN })).toBe('Wed 23:50');
});

test('every 6 hours of a day in Berlin the ticks are 18, 00, 06 and 12, and only 00 is midnight', () => {
  const fromMs = Date.UTC(2026, 2, 4, 14, 6);
  const ticks = clockTicks({ fromMs, toMs: NOW_MS, timeZone: BERLIN, everyHours: 6 });
  expect(ticks.map(({ label }) => label)).toEqual(['18', '00', '06', '12']);
  expect(ticks.map(({ midnight }) => midnight)).toEqual([false, true, false, false]);
  expect(ticks[0]?.atMs).toBe(Date.UTC(2026, 2, 4, 17));
});

test('the day of 23 hours, 29 March 2026 in Berlin, still has its ticks at 06, 12 and 18 of the wall clock', () => {
  const ticks = clockTicks({
    fromMs: Date.UTC(2026, 2, 28, 23), // 00:00 in Berlin
    toMs: Date.UTC(2026, 2, 29, 22), // 00:00 of the next day
    timeZone: BERLIN,
    everyHours: 6,
  });
  expect(ticks.map(({ atMs }) => new Date(atMs).toISOString().slice(8, 13))).toEqual([
    '28T23',
    '29T04', // 06:00 at UTC+2
    '29T10',
    '29T16',
    '29T22',
  ]);
});

test('in a zone of UTC+5:45 midnight falls on a quarter of an hour and is found', () => {
  const span = { fromMs: Date.UTC(2026, 2, 4, 12), toMs: Date.UTC(2026, 2, 5, 12) };
  const ticks = clockTicks({ ...span, timeZone: 'Asia/Kathmandu', everyHours: 24 });
  expect(ticks.map(({ atMs }) => atMs)).toEqual([Date.UTC(2026, 2, 4, 18, 15)]);
});

// 24 h on 512 px at 64 px a label is 8 labels, so every 3 h; on 128 px 2 labels, so every 12 h.
test.each([
  [512, 3],
  [128, 12],
])('24 hours on %i px are labelled every %i hours', (widthPx, hours) => {
  expect(tickHours({ spanMs: 24 * HOUR_MS, widthPx })).toBe(hours);
});

test('instants within a text are shown by the clock of the installation, with the day unless it is today', () => {
  const now = { nowMs: Date.parse('2026-03-05T14:06:00Z'), timeZone: 'Europe/Berlin' };
  const text = 'root 21.4 Cel  2026-03-05T13:05:09.000Z  stored; 2026-03-01T23:30:00Z too old';
  expect(withLocalTimes(text, now)).toBe('root 21.4 Cel  14:05:09  stored; 2 Mar 2026, 00:30:00 too old');
  expect(withLocalTimes('no time in it', now)).toBe('no time in it');
});

describe('in 12 hours', () => {
  beforeEach(() => readIn(12));
  afterEach(() => readIn(24));

  test('half past midnight is 12:30 am, six minutes past two in the afternoon 2:06 pm, and ticks say am and pm', () => {
    expect(clockTime({ atMs: Date.UTC(2026, 2, 5, 0, 30), timeZone: 'UTC' })).toBe('12:30 am');
    expect(clockTime({ atMs: Date.UTC(2026, 2, 5, 14, 6), timeZone: 'UTC' })).toBe('2:06 pm');
    const span = { fromMs: Date.UTC(2026, 2, 4, 23), toMs: Date.UTC(2026, 2, 5, 19), timeZone: 'UTC' };
    const labels = clockTicks({ ...span, everyHours: 6 }).map(({ label }) => label);
    expect(labels).toEqual(['12 am', '6 am', '12 pm', '6 pm']);
  });

  test('what an input takes stays in 24', () => {
    expect(wallTime({ atMs: Date.UTC(2026, 2, 5, 14, 6), timeZone: 'UTC' })).toBe('2026-03-05T14:06');
  });

  test('the sentences of an alarm say 2:06 pm too', () => {
    const nowMs = Date.UTC(2026, 2, 5, 15);
    expect(clock(Date.UTC(2026, 2, 5, 14, 6), { timeZone: 'UTC', nowMs, hours12: true })).toBe('2:06 pm');
  });
});
