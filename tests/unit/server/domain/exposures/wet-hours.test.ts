import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { RecordsByQuantity } from '../../../../../server/domain/exposures/curves.ts';
import { DISEASE_WETNESS, type WetnessCondition } from '../../../../../shared/climate/wet-hours.ts';
import { type ProbeRecord, probeRecord } from '../../../../../shared/exposure/series.ts';
import { exposuresOf } from '../../../../support/exposures-of.ts';
import { BASE_MS, MINUTE_MS } from '../../../shared/exposure/support.ts';
import { questionOf, read } from './question.ts';

const span = [0, 4] as const;
const steady = (value: number) => [read(span, () => value)];
const counted = (condition: string, records: RecordsByQuantity) =>
  exposuresOf(questionOf(span, records)).wetHours.find((row) => row.condition === condition);

describe('4 h under the earlier sheet of the extension: 13 to 24 °C, from 93 %RH or a wet leaf', () => {
  // [UMASS-BOTRYTIS], earlier sheet: 55 to 75 °F, 12.8 to 23.9 °C, 93 %RH; limits belong to the range
  test.each([
    [13, 93, 4],
    [24, 93, 4],
    [24, 100, 4],
    [12.9, 93, 0],
    [24.1, 100, 0],
    [20, 92.9, 0],
  ])('%d °C and %d %RH count %i h', (airC, rh, hours) => {
    const row = counted('botrytis-extension', {
      'air/temperature': steady(airC),
      'air/humidity': steady(rh),
    });
    expect(row).toMatchObject({ coveredHours: 4, hours, longestHours: hours });
  });

  test('air that warms from 10 to 30 °C in 4 h at 95 %RH counts the 2.2 h from 13 to 24 °C', () => {
    // by hand: 11 K at 5 K/h
    const row = counted('botrytis-extension', {
      'air/temperature': [read(span, (hour) => 10 + 5 * hour)],
      'air/humidity': steady(95),
    });
    expect(row?.hours).toBeCloseTo(2.2, 6);
    expect(row?.longestHours).toBeCloseTo(2.2, 6);
  });

  test('humidity over the limit in the 1st hour and in the last 1.5 h counts 2.5 h, the longest 1.5 h', () => {
    // by hand: flanks of 10 min from 80 to 100 %RH pass 93 after 0.65 of the way
    const humidity = [read(span, (hour) => (hour < 1.01 || hour > 2.49 ? 100 : 80))];
    const row = counted('botrytis-extension', { 'air/temperature': steady(20), 'air/humidity': humidity });
    const flank = 0.35 / 6;
    expect(row?.hours).toBeCloseTo(2.5 + 2 * flank, 6);
    expect(row?.longestHours).toBeCloseTo(1.5 + flank, 6);
  });

  test('a leaf felt wet for 1 h counts it at 50 %RH, and where humidity is not read at all', () => {
    const wet = { 'leaf/wetness': [read(span, (hour) => (hour <= 1 ? 0.5 : 0.49))] };
    const dryAir = { 'air/temperature': steady(20), 'air/humidity': steady(50), ...wet };
    expect(counted('botrytis-extension', dryAir)).toMatchObject({ coveredHours: 4, hours: 1 });
    const unread = { 'air/temperature': steady(20), ...wet };
    expect(counted('botrytis-extension', unread)).toMatchObject({ coveredHours: 1, hours: 1 });
  });

  test('a leaf felt dry does not overrule 94 %RH, and a wet one counts nothing at 30 °C: 4 h and 0 h', () => {
    const dryLeaf = { 'air/humidity': steady(94), 'leaf/wetness': steady(0.49) };
    const wetLeaf = { 'air/humidity': steady(94), 'leaf/wetness': steady(1) };
    const mild = counted('botrytis-extension', { 'air/temperature': steady(20), ...dryLeaf });
    const hot = counted('botrytis-extension', { 'air/temperature': steady(30), ...wetLeaf });
    expect([mild?.hours, hot?.hours]).toEqual([4, 0]);
  });
});

// [SIRJUSINGH96]: nothing at 5 to 10 °C in 24 h
test('on geranium leaves nothing counts in 4 h at 10 °C on a wet leaf', () => {
  const cold = { 'air/temperature': steady(10), 'air/humidity': steady(94), 'leaf/wetness': steady(1) };
  expect(counted('botrytis-geranium-leaves', cold)).toMatchObject({ coveredHours: 4, hours: 0 });
});

test('where only a film counts, a leaf felt dry overrules 95 %RH over 4 h, and 95 %RH counts where no leaf is felt', () => {
  const air = { 'air/temperature': steady(20), 'air/humidity': steady(95) };
  const felt = { ...air, 'leaf/wetness': steady(0.1) };
  expect(counted('botrytis-geranium-leaves', felt)).toMatchObject({ coveredHours: 4, hours: 0 });
  expect(counted('botrytis-geranium-leaves', air)).toMatchObject({ coveredHours: 4, hours: 4 });
});

describe('for 60 random records of 4 h', () => {
  /** Readings 5 to 20 min apart, so that some lie too far apart to join, in steps that dwell on the limits. */
  const recordOf = (values: fc.Arbitrary<number>) =>
    fc
      .array(fc.tuple(fc.integer({ min: 5, max: 20 }), values), { minLength: 2, maxLength: 24 })
      .map((steps): ProbeRecord => {
        let minute = -5;
        const minutes = steps.map(([apart]) => {
          minute += apart;
          return minute;
        });
        return probeRecord({
          timesMs: minutes.map((one) => BASE_MS + one * MINUTE_MS),
          values: steps.map(([, value]) => value),
        });
      });
  const records = fc.record({
    air: recordOf(fc.integer({ min: 9, max: 31 })),
    humidity: recordOf(fc.constantFrom(70, 85, 87, 93, 95, 99, 100, 105)),
    wetness: fc.option(recordOf(fc.constantFrom(0, 0.25, 0.5, 1))),
  });

  const valueAt = ({ timesMs, values }: ProbeRecord, atMs: number) => {
    const next = timesMs.findIndex((timeMs) => timeMs > atMs);
    if (next < 1) return null;
    const [fromMs, toMs] = [timesMs[next - 1] ?? 0, timesMs[next] ?? 0];
    if (toMs - fromMs > 15 * MINUTE_MS) return null;
    const [from, to] = [values[next - 1] ?? 0, values[next] ?? 0];
    return from + ((to - from) * (atMs - fromMs)) / (toMs - fromMs);
  };

  /** Whether a moment belongs to a condition; null where what is read does not decide it. */
  const judged = (
    condition: WetnessCondition,
    at: { air: number | null; humidity: number | null; leaf: number | null; felt: boolean },
  ) => {
    if (at.air === null) return null;
    const inRange = at.air >= condition.temperatureLowC && at.air <= condition.temperatureHighC;
    const byLeaf = at.leaf === null ? null : at.leaf >= 0.5;
    const byAir = at.humidity === null ? null : at.humidity >= condition.humidityFloorPct;
    const sides = [
      ...(at.felt ? [byLeaf] : []),
      ...(at.felt && condition.humidity === 'stands in for a film' ? [] : [byAir]),
    ];
    // either makes it wet; only both together make it dry
    if (sides.includes(true)) return inRange;
    return sides.includes(null) ? null : false;
  };

  test('hours and covered hours are those of the published rule asked every 10 s', () => {
    const stepMs = 10_000;
    fc.assert(
      fc.property(records, ({ air, humidity, wetness }) => {
        const given = { 'air/temperature': [air], 'air/humidity': [humidity] };
        const question = questionOf(span, wetness ? { ...given, 'leaf/wetness': [wetness] } : given);
        const rows = exposuresOf(question).wetHours;
        expect(rows).toHaveLength(Object.keys(DISEASE_WETNESS).length);
        for (const row of rows) {
          const condition = DISEASE_WETNESS[row.condition as keyof typeof DISEASE_WETNESS];
          let [held, covered] = [0, 0];
          for (let atMs = question.fromMs + stepMs / 2; atMs < question.toMs; atMs += stepMs) {
            const verdict = judged(condition, {
              air: valueAt(air, atMs),
              humidity: valueAt(humidity, atMs),
              leaf: wetness && valueAt(wetness, atMs),
              felt: wetness !== null,
            });
            if (verdict !== null) covered++;
            if (verdict === true) held++;
          }
          // each end of a stretch is off by half a step; 3 records of at most 24 pieces, 2 limits: at most 100 ends
          const toleranceHours = (100 * stepMs) / 2 / 3_600_000;
          expect(Math.abs(row.hours - (held * stepMs) / 3_600_000)).toBeLessThanOrEqual(toleranceHours);
          expect(Math.abs(row.coveredHours - (covered * stepMs) / 3_600_000)).toBeLessThanOrEqual(
            toleranceHours,
          );
          expect(row.hours).toBeLessThanOrEqual(row.coveredHours + 1e-9);
          expect(row.longestHours).toBeLessThanOrEqual(row.hours + 1e-9);
        }
      }),
      { numRuns: 60 },
    );
  });
});
