import { describe, expect, test } from 'vitest';
import type { PlaceSettings } from '../../../../../shared/model/place.ts';
import { SERIES_QUANTITIES, type SeriesQuantityName } from '../../../../../shared/quantities.ts';
import { START_MS } from '../../support/house.ts';
import { EVERYTHING, hourOf, isListed, only } from './place.ts';

const NAMES = Object.keys(SERIES_QUANTITIES) as SeriesQuantityName[];
/** What no setting of a place states the error of: all but temperatures and humidity. */
const UNSTATED: readonly SeriesQuantityName[] = [
  'ppfdUmolM2S',
  'illuminanceLx',
  'leafWetness',
  'mistValve',
  'batteryLevelPct',
];
const of = (house: Awaited<ReturnType<typeof hourOf>>, name: string) =>
  house.daemon.queries.explain('bench-1', { of: `now.${name}`, span: null });

describe.each([
  ['all probes', EVERYTHING],
  ['air and illuminance alone', only('air/temperature', 'air/humidity', 'light/illuminance')],
])('a place with %s', (_, probes) => {
  test('explains each of the 11 quantities: the value shown, its unit, a listed source, what it was made of', async () => {
    const house = await hourOf(probes);
    const { quantities } = house.daemon.queries.now('bench-1');
    for (const name of NAMES) {
      const explained = of(house, name);
      const shown = quantities[name] ?? null;
      expect([explained.of, explained.value]).toEqual([`now.${name}`, shown?.value ?? null]);
      expect([explained.name, explained.unit]).toEqual([
        SERIES_QUANTITIES[name].name,
        SERIES_QUANTITIES[name].unit,
      ]);
      expect(explained.formula).not.toBe('');
      expect(explained.source.key).toSatisfy(isListed);
      if (shown === null) continue;
      const read = explained.inputs.filter(({ probe }) => probe !== null);
      expect(read.length).toBeGreaterThan(0);
      for (const { value, at, probe } of read) {
        // each was last read at 60 min, by a probe of bench-1
        expect([at, probe]).toEqual([
          new Date(START_MS + 3_600_000).toISOString(),
          expect.stringMatching(/^bench-1\//),
        ]);
        expect(value).toBe(probes[String(probe).slice('bench-1/'.length)]?.[1](60));
      }
    }
  });

  test('brackets every value whose sensors have a stated error', async () => {
    const house = await hourOf(probes);
    const { quantities } = house.daemon.queries.now('bench-1');
    for (const name of NAMES) {
      const value = quantities[name]?.value;
      const { errorRange } = of(house, name);
      const stated = value !== undefined && !UNSTATED.includes(name);
      expect(errorRange !== null).toBe(stated);
      if (!errorRange || value === undefined) continue;
      expect(errorRange.low).toBeLessThan(value);
      expect(errorRange.high).toBeGreaterThan(value);
      expect(errorRange.because).toMatch(/^sensors to ±/);
    }
  });
});

test('a corrected air temperature says what its probe reported, and one that is not says nothing of it', async () => {
  const house = await hourOf({ 'air/temperature': ['Cel', () => 24], 'root/temperature': ['Cel', () => 22] });
  const probeId = house.daemon.world.probeNamed({ device: 'bench-1', name: 'air/temperature' })?.id ?? 0;
  const order = { gain: 1, offset: -0.4, fromMs: START_MS, reason: 'against ice', checkId: null };
  house.daemon.checks.correct(probeId, order);
  // 24 − 0.4
  expect(of(house, 'airTemperatureC')).toMatchObject({
    value: 23.6,
    assumptions: ['corrected: bench-1/air/temperature read 24 and counts as 23.6'],
  });
  expect(of(house, 'rootZoneTemperatureC').assumptions).toEqual([]);
});

describe('error ranges', () => {
  const air = (rh: number, airC = 24) => ({
    'air/temperature': ['Cel', () => airC] as const,
    'air/humidity': ['%RH', () => rh] as const,
  });
  const exact = { sensorError: { temperatureK: 0, humidityPct: 2 } } satisfies Partial<PlaceSettings>;

  test.each([
    [95, 0.4],
    [90, 0.2],
    [50, 0.04],
  ])('at %d %RH, ±2 %RH and 0 K leave a deficit open by the part %f of it', async (rh, part) => {
    // by hand: 2 of the 5, 10 and 50 %RH that are left; whatever the formula, so only rounding is allowed for
    const { value, errorRange } = of(await hourOf(air(rh), exact), 'airVpdKpa');
    expect(errorRange?.low).toBeCloseTo((value ?? 0) * (1 - part), 12);
    expect(errorRange?.high).toBeCloseTo((value ?? 0) * (1 + part), 12);
    expect(errorRange?.because).toBe('sensors to ±0 K and ±2 %RH');
  });

  test('at 99 %RH a deficit and humidity stop at 0 kPa and 100 %RH', async () => {
    const house = await hourOf(air(99), exact);
    expect(of(house, 'airVpdKpa').errorRange?.low).toBe(0);
    expect(of(house, 'relativeHumidityPct').errorRange).toMatchObject({ low: 97, high: 100 });
  });

  test('at 103 %RH, as chips read when wet, what is shown lies in its own range', async () => {
    const { value, errorRange } = of(await hourOf(air(103), exact), 'relativeHumidityPct');
    expect([value, errorRange?.low, errorRange?.high]).toEqual([103, 101, 103]);
  });

  test('a chip without a stated error is off by 4 %RH at 95 %RH and 2 %RH at 50 %RH', async () => {
    // [SENSOR-SHEETS], as in tests/truth/sensor-error.test.ts
    expect(of(await hourOf(air(95)), 'relativeHumidityPct').errorRange).toMatchObject({ low: 91, high: 99 });
    expect(of(await hourOf(air(50)), 'relativeHumidityPct').errorRange).toMatchObject({ low: 48, high: 52 });
  });

  test('a dew point of air that may be without vapour, 1 ± 2 %RH, has no range, and its deficit has', async () => {
    const house = await hourOf(air(1), exact);
    expect(of(house, 'dewPointC')).toMatchObject({ value: expect.any(Number), errorRange: null });
    expect(of(house, 'airVpdKpa').errorRange).not.toBeNull();
  });

  test('a leaf deficit is open by the errors of leaf and air, ±0.5 K each at 100 %RH', async () => {
    const leaf = { ...air(100, 25), 'leaf/temperature': ['Cel', () => 25] as const };
    const settings = { sensorError: { temperatureK: 0.5, humidityPct: 0 } };
    const { value, errorRange } = of(await hourOf(leaf, settings), 'leafVpdKpa');
    // by hand: e(25.5) − e(24.5) to either side; the slope at 25 °C is 0.1888 kPa/K, [FAO56] annex 2 table 2.4
    // (0.189, recalled); 0.001 for its rounding
    expect(value).toBeCloseTo(0, 12);
    expect(errorRange?.high).toBeCloseTo(0.189, 2);
    expect(errorRange?.low).toBeCloseTo(-0.189, 2);
  });

  test('a leaf assumed 0 K from the air has the range of the air', async () => {
    const house = await hourOf(air(80));
    const [leaf, plain] = [of(house, 'leafVpdKpa').errorRange, of(house, 'airVpdKpa').errorRange];
    // e − e × RH against e × (1 − RH): a few units in the last place
    expect(leaf?.low).toBeCloseTo(plain?.low ?? Number.NaN, 12);
    expect(leaf?.high).toBeCloseTo(plain?.high ?? Number.NaN, 12);
  });
});

describe('what a number was made of', () => {
  test('of 2 air probes at 20 and 30 °C of which the 2nd stopped reporting 2 h ago, only the 1st is an input', async () => {
    const house = await hourOf({
      'air/temperature/2': ['Cel', () => 30],
      'air/humidity': ['%RH', () => 80],
    });
    house.hand.pass(2 * 3_600_000);
    await house.report([
      { n: 'air/temperature', u: 'Cel', v: 20 },
      { n: 'air/humidity', u: '%RH', v: 80 },
    ]);
    const { value, inputs, errorRange } = of(house, 'airVpdKpa');
    expect(inputs.map((input) => [input.probe, input.value])).toEqual([
      ['bench-1/air/temperature', 20],
      ['bench-1/air/humidity', 80],
    ]);
    expect(errorRange?.low).toBeLessThan(value ?? 0);
    expect(errorRange?.high).toBeGreaterThan(value ?? 0);
  });

  test('3 air probes at 20, 21 and 29 °C give the median 21 °C, and the deficit’s range is about it', async () => {
    const house = await hourOf({
      'air/temperature': ['Cel', () => 20],
      'air/temperature/2': ['Cel', () => 21],
      'air/temperature/3': ['Cel', () => 29],
      'air/humidity': ['%RH', () => 80],
    });
    const { value, inputs, errorRange } = of(house, 'airVpdKpa');
    expect(inputs).toHaveLength(4);
    expect(errorRange?.low).toBeLessThan(value ?? 0);
    expect(errorRange?.high).toBeGreaterThan(value ?? 0);
  });

  test('PPFD from its own probe names neither illuminance nor the 54 lx; from illuminance it names both', async () => {
    const measured = of(await hourOf(EVERYTHING), 'ppfdUmolM2S');
    expect(measured.inputs.map(({ probe }) => probe)).toEqual(['bench-1/light/ppfd']);
    expect(measured.assumptions).toEqual([]);
    const estimated = of(await hourOf(only('light/illuminance')), 'ppfdUmolM2S');
    expect(estimated.inputs).toMatchObject([
      { probe: 'bench-1/light/illuminance', value: 12_000 },
      { probe: null, value: 54, unit: 'lx' },
    ]);
    expect(estimated.assumptions).toEqual([expect.stringMatching(/^estimated from illuminance as daylight/)]);
  });

  test('a leaf deficit names its leaf probe, or the 2 K assumed', async () => {
    const measured = of(await hourOf(EVERYTHING, { leafOffsetK: 2 }), 'leafVpdKpa');
    expect(measured.inputs.map(({ probe }) => probe)).toContain('bench-1/leaf/temperature');
    expect(measured.assumptions.join()).not.toMatch(/assumed/);
    const air = only('air/temperature', 'air/humidity');
    const assumed = of(await hourOf(air, { leafOffsetK: 2 }), 'leafVpdKpa');
    expect(assumed.inputs).toContainEqual(expect.objectContaining({ probe: null, value: 2, unit: 'K' }));
    expect(assumed.assumptions.join()).toMatch(/assumed 2 K warmer/);
  });

  test('a wet bulb names its pressure: 101.325 kPa with sea level assumed, 84.556 kPa at 1500 m', async () => {
    // [ASHRAE17] table 1: 84.556 kPa at 1500 m, recalled
    const air = only('air/temperature', 'air/humidity');
    const atSea = of(await hourOf(air), 'wetBulbC');
    expect(atSea.inputs).toContainEqual(expect.objectContaining({ value: 101.325, unit: 'kPa' }));
    expect(atSea.assumptions.join()).toMatch(/sea level/);
    const above = of(await hourOf(air, { altitudeM: 1500 }), 'wetBulbC');
    expect(above.inputs).toContainEqual(expect.objectContaining({ value: 84.556, unit: 'kPa' }));
    expect(above.assumptions.join()).not.toMatch(/sea level/);
  });

  test('a place silent for 2 h says that its value is out of date', async () => {
    const house = await hourOf(EVERYTHING);
    house.hand.pass(2 * 3_600_000);
    expect(of(house, 'airTemperatureC').assumptions).toEqual([expect.stringMatching(/^out of date/)]);
  });
});

test.each(['luck', '__proto__', 'constructor', 'airVpdKpa.low', 'hasOwnProperty', ''])(
  'now.%s is no quantity',
  async (name) => {
    const house = await hourOf(only('air/temperature'));
    expect(() => of(house, name)).toThrow(expect.objectContaining({ code: 'bad-request' }));
  },
);
