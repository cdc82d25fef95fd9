import { expect, test } from 'vitest';
import { barsOf, localDays, mostDose } from '../../../../web/place/days.ts';
import { HOUR_MS } from '../examples.ts';

const at = (text: string) => Date.parse(text);

// Offsets and days of change of the zones: the public time-zone database, recalled. Berlin is UTC+1 in winter and +2 in
// summer; in 2026 its clock changes on 29 March and 25 October. Kolkata is UTC+5:30. Auckland is UTC+13 in summer.
test.each([
  ['2026-03-05T14:06Z', 'UTC', '2026-03-05T00:00Z'],
  ['2026-03-05T14:06Z', 'Europe/Berlin', '2026-03-04T23:00Z'],
  ['2026-03-05T14:06Z', 'Asia/Kolkata', '2026-03-04T18:30Z'],
  ['2026-01-05T14:06Z', 'Pacific/Auckland', '2026-01-05T11:00Z'],
  // at midnight the day that ends
  ['2026-03-05T00:00Z', 'UTC', '2026-03-04T00:00Z'],
])('the day up to %s in %s began at %s', (moment, timeZone, start) => {
  const days = localDays({ nowMs: at(moment), timeZone, count: 1, startMs: 0 });
  expect(days).toEqual([{ fromMs: at(start), toMs: at(moment) }]);
});

test('in Berlin 29 March 2026 has 23 h and 25 October 25 h', () => {
  const lengths = (noon: string) => {
    const days = localDays({ nowMs: at(noon), timeZone: 'Europe/Berlin', count: 2, startMs: 0 });
    return days.map(({ fromMs, toMs }) => (toMs - fromMs) / HOUR_MS);
  };
  expect(lengths('2026-03-30T12:00+02:00')).toEqual([23, 12]);
  expect(lengths('2026-10-26T12:00+01:00')).toEqual([25, 12]);
});

test('of a record of 2 days and a bit 3 days are drawn, of none none, of a long one 14', () => {
  const nowMs = at('2026-03-05T14:00Z');
  const count = (startMs: number) => localDays({ nowMs, timeZone: 'UTC', count: 14, startMs }).length;
  expect(count(at('2026-03-03T20:00Z'))).toBe(3);
  expect(count(Number.POSITIVE_INFINITY)).toBe(0);
  expect(count(0)).toBe(14);
});

const dose = (aboveCh: number, belowCh: number) => ({
  view: { fromMs: 0, toMs: 1 },
  coveredHours: 24,
  aboveCh,
  belowCh,
});

test('the most of 3, 15.5 and 4 is 15.5, and 0.2 is drawn against no less than 1', () => {
  expect(mostDose([dose(3, 0), dose(4, 15.5)])).toBe(15.5);
  expect(mostDose([dose(0.2, 0)])).toBe(1);
  expect(mostDose([])).toBe(1);
});

test('15.5 of 15.5 fills its side of 50 px, half of it half, 0 nothing, and a trifle is 1.5 px', () => {
  const bars = barsOf([dose(15.5, 7.75), dose(0, 0.01)], { widthPx: 100, sidePx: 50, most: 15.5 });
  expect(bars.map(({ above, below }) => [above, below])).toEqual([
    [50, 25],
    [0, 1.5],
  ]);
});

test('2 bars in 100 px stand in the middle of their halves and are no wider than 28 px', () => {
  const bars = barsOf([dose(1, 0), dose(1, 0)], { widthPx: 100, sidePx: 50, most: 1 });
  expect(bars.map(({ x, width }) => [x + width / 2, width])).toEqual([
    [25, 28],
    [75, 28],
  ]);
});
