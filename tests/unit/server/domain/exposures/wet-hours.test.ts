import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { RecordsByQuantity } from '../../../../../server/domain/exposures/curves.ts';
import {
  DISEASE_WETNESS,
  isWetInRange,
  type WetnessCondition,
} from '../../../../../shared/climate/wet-hours.ts';
import { type ProbeRecord, probeRecord } from '../../../../../shared/exposure/series.ts';
import { exposuresOf } from '../../../../support/exposures-of.ts';
import { BASE_MS, MINUTE_MS } from '../../../shared/exposure/support.ts';
import { questionOf, read } from './question.ts';

const span = [0, 4] as const;
const steady = (value: number) => [read(span, () => value)];
const counted = (condition: string, records: RecordsByQuantity) =>
  exposuresOf(questionOf(span, records)).wetHours.find((row) => row.condition === condition);

describe('4 h under the earlier sheet of the extension: 13 to 24 °C, from 93 %RH or a wet leaf', () => {
  // [UMASS-BOTRYTIS]; limits belong to the range, as tests/truth/counters.test.ts has it
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

  /** Whether a moment belongs to a condition; null where what is read does not tell. */
  const judged = (
    condition: WetnessCondition,
    at: { air: number | null; humidity: number | null; leaf: number | null; felt: boolean },
  ) => {
    if (at.air === null) return null;
    const airTemperatureC = at.air;
    const say = (relativeHumidityPct: number, leafWetness: number | null) =>
      isWetInRange(
        { airTemperatureC, relativeHumidityPct: Math.min(relativeHumidityPct, 100), leafWetness },
        condition,
      );
    if (at.felt && condition.humidity === 'stands in for a film')
      return at.leaf === null ? null : say(0, at.leaf);
    if (!at.felt) return at.humidity === null ? null : say(at.humidity, null);
    // either makes it wet; only both together make it dry
    const wet = (at.leaf !== null && at.leaf >= 0.5) || (at.humidity ?? 0) >= condition.humidityFloorPct;
    if (!wet && (at.leaf === null || at.humidity === null)) return null;
    return say(at.humidity ?? 0, at.leaf ?? 0);
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
