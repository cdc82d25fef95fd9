import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { HeldRule } from '../../../../../server/domain/alarms/limits.ts';
import { pastAlarms } from '../../../../../server/domain/alarms/past.ts';
import { alarmModel } from '../../support/alarm-model.ts';

const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;
/** The ceiling as a place has it that nobody set up: the model plays the same story again. */
const CEILING: HeldRule = {
  rule: 'air-over-ceiling',
  sense: 'above',
  halving: 5,
  on: true,
  latching: false,
  onDelayMs: MINUTE_MS,
  offDelayMs: MINUTE_MS,
  deadband: 0.5,
};
const ALWAYS = [{ fromMs: 0, toMs: 1e15, limit: 26.7 }];

type Point = { readonly probe: 1 | 2; readonly afterS: number; readonly valueC: number };

const points = fc.array(
  fc.record({
    probe: fc.constantFrom<1 | 2>(1, 2),
    afterS: fc.constantFrom(1, 5, 20, 40, 60, 61, 200, 1_000),
    valueC: fc.constantFrom(20, 26.2, 26.3, 26.7, 26.8, 28, 30, 36),
  }),
  { minLength: 1, maxLength: 60 },
);

function sourcesOf(all: readonly (Point & { tMs: number })[]) {
  return ([1, 2] as const).map((probe) => {
    const own = all.filter((one) => one.probe === probe);
    return {
      source: String(probe),
      timesMs: Float64Array.from(own, ({ tMs }) => tMs),
      values: Float64Array.from(own, ({ valueC }) => valueC),
    };
  });
}

test('the past raises and returns what the model of the live alarm does, within the second in which time is looked at', () => {
  let raised = 0;
  fc.assert(
    fc.property(points, (given) => {
      const model = alarmModel();
      let nowMs = SECOND_MS;
      const all = given.map((point) => {
        for (let second = 0; second < point.afterS; second += 1) {
          nowMs += SECOND_MS;
          model.time(nowMs);
        }
        model.sample(String(point.probe), { atMs: nowMs, valueC: point.valueC });
        return { ...point, tMs: nowMs };
      });
      for (let second = 0; second < 3_600; second += 1) {
        nowMs += SECOND_MS;
        model.time(nowMs);
      }
      const past = pastAlarms({
        sources: sourcesOf(all),
        limits: ALWAYS,
        held: CEILING,
        staleAfterMs: 15 * MINUTE_MS,
      });
      const events = past.flatMap(({ raisedMs, returnedMs }) => [
        { transition: 'raised', atMs: raisedMs },
        ...(returnedMs === null ? [] : [{ transition: 'returned', atMs: returnedMs }]),
      ]);
      expect(events.map(({ transition }) => transition)).toEqual(
        model.events.map(({ transition }) => transition),
      );
      for (const [i, { atMs }] of events.entries())
        expect(Math.abs(atMs - (model.events[i]?.atMs ?? 0))).toBeLessThanOrEqual(SECOND_MS);
      raised += past.length;
    }),
    { numRuns: 300 },
  );
  // stories in which nothing was raised would prove nothing
  expect(raised).toBeGreaterThan(100);
});

test('a limit that holds from 100 s to 300 s only is met by nothing before or after, and what was past it has not recovered', () => {
  const timesMs = Float64Array.from({ length: 60 }, (_, k) => k * 10 * SECOND_MS + SECOND_MS);
  const hot = { source: '1', timesMs, values: timesMs.map(() => 31.7) };
  const limits = [
    { fromMs: 0, toMs: 100_000, limit: null },
    { fromMs: 100_000, toMs: 300_000, limit: 26.7 },
    { fromMs: 300_000, toMs: 400_000, limit: null },
    { fromMs: 400_000, toMs: 1e15, limit: 26.7 },
  ];
  const raised = { sinceMs: 101_000, raisedMs: 131_000, worst: 31.7 };
  const past = (source: typeof hot) =>
    pastAlarms({ sources: [source], limits, held: CEILING, staleAfterMs: 900_000 });
  // by hand: armed at 101 s; 5 K over spend 2 ms a ms, so 30 s later; not judged from 301 s, and past it again at 401 s
  expect(past(hot)).toEqual([{ ...raised, returnedMs: null }]);
  // cool from 301 s on: nobody asks before 401 s, and it is over 60 s later
  const cooled = { ...hot, values: timesMs.map((tMs) => (tMs > 300_000 ? 20 : 31.7)) };
  expect(past(cooled)).toEqual([{ ...raised, returnedMs: 461_000 }]);
});
