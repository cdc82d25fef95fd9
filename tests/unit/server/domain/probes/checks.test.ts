import { describe, expect, test } from 'vitest';
import {
  differencesOf,
  fixedPointOf,
  referencesOf,
} from '../../../../../server/domain/probes/checks/reference.ts';
import { checkResult } from '../../../../../server/domain/probes/checks/result.ts';
import { judgeRest, steadyRule } from '../../../../../server/domain/probes/checks/steady.ts';
import { probeRecord } from '../../../../../shared/exposure/series.ts';
import type { TakenReading } from '../../../../../shared/model/probes/check.ts';

const MINUTE_MS = 60_000;
const ICE = steadyRule({ kind: 'ice' }, 'root/temperature');

/** A reading a minute from minute 0 to the last. */
function minutes(lastMinute: number, valueAt: (minute: number) => number) {
  const all = Array.from({ length: lastMinute + 1 }, (_, minute) => minute);
  return probeRecord({ timesMs: all.map((minute) => minute * MINUTE_MS), values: all.map(valueAt) });
}

type Judged = { untilMinute?: number; temperatures?: ReturnType<typeof minutes> | null };

function judged(
  record: ReturnType<typeof minutes>,
  rule = ICE,
  { untilMinute, temperatures = null }: Judged = {},
) {
  const newestMs = record.timesMs.at(-1) ?? 0;
  const untilMs = untilMinute === undefined ? newestMs : untilMinute * MINUTE_MS;
  const rest = judgeRest({ record, sinceMs: 0, untilMs, temperatures }, rule);
  return { ...rest, missing: rest.criteria.filter(({ met }) => !met).map(({ name }) => name) };
}

// The limits are those that the README states: common practice, no source. The sums beside the tests are arithmetic.
describe('in ice', () => {
  test('20 min at 0.25 °C are steady, 19 min are not', () => {
    expect(judged(minutes(20, () => 0.25))).toMatchObject({ steady: true, mean: 0.25, readings: 21 });
    expect(judged(minutes(19, () => 0.25)).missing).toEqual(['in-place']);
  });

  test('a probe that cools from 20 °C with 5 min of lag is steady after 20 min within 0.3 K, about minute 41', () => {
    // 20·e^(−t/5) is below 0.3 from t = 5·ln(20/0.3) = 21.0 min on: the last 20 min are so from 41.0 on
    const cooling = (last: number) => judged(minutes(last, (minute) => 20 * Math.exp(-minute / 5)));
    expect(cooling(40).steady).toBe(false);
    expect(cooling(40).missing).toContain('spread');
    expect(cooling(50).steady).toBe(true);
  });

  test('a slow drift of 0.6 K an hour keeps within 0.3 K for 20 min and is not steady', () => {
    expect(judged(minutes(60, (minute) => (0.6 / 60) * minute)).missing).toEqual(['slope']);
  });

  test('chips that report 0.06 K steps to and fro are steady', () => {
    expect(judged(minutes(30, (minute) => (minute % 2) * 0.0625)).steady).toBe(true);
  });

  test('a pause of 11 min, or none received for 11 min, is no rest', () => {
    const { timesMs, values } = minutes(30, () => 0);
    const kept = [...timesMs].map((_, i) => i).filter((i) => i <= 15 || i >= 26);
    const paused = probeRecord({
      timesMs: kept.map((i) => timesMs[i] as number),
      values: kept.map((i) => values[i] as number),
    });
    expect(judged(paused).missing).toEqual(['unbroken']);
    expect(
      judged(
        minutes(30, () => 0),
        ICE,
        { untilMinute: 41 },
      ).missing,
    ).toEqual(['fresh']);
  });

  test('nothing read is not steady, and everything is missing', () => {
    const empty = probeRecord({ timesMs: [], values: [] });
    expect(judged(empty)).toMatchObject({ steady: false, mean: null, readings: 0 });
    expect(judged(empty).missing).toHaveLength(5);
  });
});

describe('over salt', () => {
  const SALT = steadyRule({ kind: 'salt', salt: 'sodium chloride' }, 'air/humidity');

  test('4 h are needed, the last of them within 1 %RH and its jar within 0.5 K', () => {
    const still = minutes(240, () => 74);
    expect(judged(still, SALT, { temperatures: minutes(240, () => 21) }).steady).toBe(true);
    expect(
      judged(
        minutes(239, () => 74),
        SALT,
      ).missing,
    ).toEqual(['in-place']);
    const warming = minutes(240, (minute) => 20 + minute / 60);
    expect(judged(still, SALT, { temperatures: warming }).missing).toEqual(['temperature']);
  });
});

describe('the reference', () => {
  test('of salts comes driest first, two where none are chosen', () => {
    const order = { probeId: 1, kind: 'salts' } as const;
    expect(referencesOf(order)).toEqual([
      { kind: 'salt', salt: 'magnesium chloride' },
      { kind: 'salt', salt: 'sodium chloride' },
    ]);
    expect(referencesOf({ ...order, salts: ['potassium sulfate', 'sodium chloride'] })).toEqual([
      { kind: 'salt', salt: 'sodium chloride' },
      { kind: 'salt', salt: 'potassium sulfate' },
    ]);
  });

  test('over magnesium chloride at 20 °C is surer than 0.25 %RH where the temperature is off by 0.5 K', () => {
    // [GREENSPAN77]: 33.07 ± 0.18 at 20 °C; from 20 to 25 °C it falls by 0.29, so by about 0.03 in half a kelvin
    const point = fixedPointOf(
      { kind: 'salt', salt: 'magnesium chloride' },
      { temperatureC: 20, temperatureErrorK: 0.5 },
    );
    expect(point?.value).toBeCloseTo(33.07, 1);
    expect(point?.uncertainty).toBeGreaterThan(0.2);
    expect(point?.uncertainty).toBeLessThan(0.25);
  });

  test('of unknown temperature, or at 51 °C, is none', () => {
    for (const temperatureC of [null, 51]) {
      const reference = { kind: 'salt', salt: 'sodium chloride' } as const;
      expect(fixedPointOf(reference, { temperatureC, temperatureErrorK: 0.3 })).toBeNull();
    }
  });

  test('beside another that is read every 10 min is the straight line between its readings, and none beyond', () => {
    const other = probeRecord({ timesMs: [0, 10 * MINUTE_MS], values: [20, 21] });
    const { timesMs, values } = differencesOf({ record: minutes(12, () => 22), other, maxGapMs: 900_000 });
    expect([...timesMs].at(-1)).toBe(10 * MINUTE_MS);
    expect(values[0]).toBe(2);
    expect(values[5]).toBeCloseTo(1.5, 12);
  });
});

describe('the result', () => {
  const point = (change: Partial<TakenReading>): TakenReading => ({
    atMs: 0,
    readings: 21,
    read: 0,
    corrected: 0,
    reference: 0,
    uncertainty: 0.1,
    accuracy: 0.5,
    temperatureC: null,
    ...change,
  });
  const at = (read: number, change: Partial<TakenReading> = {}) =>
    point({ read, corrected: read, ...change });

  test('0.6 °C in ice is within 0.5 K of the probe and 0.1 K of the ice; 0.61 °C is off by −0.61 K', () => {
    expect(checkResult([at(0.6)], 'air/temperature')).toEqual({ verdict: 'within', proposal: null });
    expect(checkResult([at(0.61)], 'air/temperature')).toEqual({
      verdict: 'off',
      proposal: { gain: 1, offset: -0.61 },
    });
  });

  test('a probe that is corrected rightly is within, though it reports 2 °C in ice', () => {
    expect(checkResult([point({ read: 2, corrected: 0.1 })], 'air/temperature').verdict).toBe('within');
  });

  test('6 °C in ice is no drift but a bath of water, or a broken probe: nothing is proposed', () => {
    expect(checkResult([at(6)], 'air/temperature')).toEqual({ verdict: 'implausible', proposal: null });
  });

  test('38 and 71.5 %RH over 33 and 75.5 are on the line of gain 1.2687 and −15.21 %RH', () => {
    const salts = { accuracy: 2, uncertainty: 0.2 };
    // gain (75.5 − 33) / (71.5 − 38) = 1.26866; offset 54.25 − 1.2687 · 54.75 = −15.21
    const points = [at(38, { ...salts, reference: 33 }), at(71.5, { ...salts, reference: 75.5 })];
    expect(checkResult(points, 'air/humidity')).toEqual({
      verdict: 'off',
      proposal: { gain: 1.2687, offset: -15.21 },
    });
  });

  test('two salts that read 50 and 58 %RH are no line: the jars are not what they should be', () => {
    const salts = { accuracy: 2, uncertainty: 0.2 };
    const points = [at(50, { ...salts, reference: 33 }), at(58, { ...salts, reference: 75.5 })];
    expect(checkResult(points, 'air/humidity')).toEqual({ verdict: 'implausible', proposal: null });
  });
});
