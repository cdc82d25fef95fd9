import { describe, expect, test } from 'vitest';
import type { PlaceSettings } from '../../../../../shared/model/place.ts';
import { type SentRecord, START_MS, startHouse } from '../../support/house.ts';
import { isListed } from './place.ts';

const MINUTE_MS = 60_000;
const SPAN = { fromMs: START_MS, toMs: START_MS + 120 * MINUTE_MS };
const LIMITS = { baseC: 21, upperC: 28 };
const time = (minute: number) => new Date(START_MS + minute * MINUTE_MS).toISOString();

/** Values by the minute from 10:00 to 12:00, one record each. */
function series(n: string, u: string, valueAt: (minute: number) => number, everyMin = 5): SentRecord[] {
  return Array.from({ length: 120 / everyMin + 1 }, (_, k) => {
    return { n, u, v: valueAt(k * everyMin), t: START_MS / 1_000 + k * everyMin * 60 };
  });
}

/** Mist for 8 s at 10:10, 10:20 … 11:50; nothing at 11:10, after the 5 intervals a pattern needs. */
const VALVE = series('mist/valve', '/', () => 0, 10).flatMap((shut, k): SentRecord[] =>
  k === 0 || k === 7 || k === 12
    ? [shut]
    : [
        { ...shut, v: 1 },
        { ...shut, t: (shut.t ?? 0) + 8 },
      ],
);
const AIR = [
  ...series('air/temperature', 'Cel', () => 24),
  ...series('air/humidity', '%RH', (minute) => (minute <= 60 ? 99 : 90)),
];
const ALL = [
  ...VALVE,
  ...AIR,
  ...series('root/temperature', 'Cel', (minute) => 18 + minute / 10),
  ...series('light/ppfd', 'umol/m2/s', (minute) => minute),
];

/** A house at 12:00 after bench-1 reported since 10:00; its cover was open from 10:30 to 10:40, as somebody wrote down. */
async function ventedHouse(records: readonly SentRecord[], settings: Partial<PlaceSettings> = {}) {
  const house = startHouse();
  house.hand.pass(120 * MINUTE_MS);
  await house.report(records);
  const { orders, queries } = house.daemon;
  orders.patchPlace('bench-1', { settings });
  const [fromMs, toMs] = [START_MS + 30 * MINUTE_MS, START_MS + 40 * MINUTE_MS];
  orders.logVent('bench-1', { fromMs, toMs, note: null });
  return {
    mist: queries.mist('bench-1', SPAN),
    vents: queries.vents('bench-1', SPAN),
    thermalTime: queries.thermalTime('bench-1', { ...SPAN, ...LIMITS }),
    explained: (of: string) => queries.explain('bench-1', { of, span: SPAN, limits: LIMITS }),
  };
}

type Vented = Awaited<ReturnType<typeof ventedHouse>>;
const valuesOf = (house: Vented, of: string) => house.explained(of).inputs.map(({ value }) => value);

/** Every number that is shown of mist, vents and thermal time, by its path. */
function shownBy({ mist, vents, thermalTime }: Vented): Record<string, number | null> {
  const gap = mist.longestDryGap;
  return {
    'mist.pulses': mist.pulses,
    'mist.pulsesPerHourInLight': mist.pulsesPerHourInLight,
    'mist.pulsesPerHourInDark': mist.pulsesPerHourInDark,
    'mist.missed': mist.missed,
    'mist.patternMin': mist.patternMin,
    'mist.coveredHours': mist.coveredHours,
    'mist.longestDryGap': gap && (Date.parse(gap.to) - Date.parse(gap.from)) / MINUTE_MS,
    ...(mist.film && {
      'mist.film.atAirTemperatureMin': mist.film.atAirTemperatureMin,
      'mist.film.cooledMin': mist.film.cooledMin,
      ...(mist.film.inLight && {
        'mist.film.inLight.dryingMin': mist.film.inLight.dryingMin,
        'mist.film.inLight.netRadiationWM2': mist.film.inLight.netRadiationWM2,
      }),
    }),
    'vents.hoursSinceVent': vents.hoursSinceVent,
    'vents.hoursSaturatedSinceVent': vents.hoursSaturatedSinceVent,
    ...Object.fromEntries(vents.vents.map((vent, i) => [`vents.vents.${i}.lowestPct`, vent.lowestPct])),
    'thermalTime.degreeHours': thermalTime.degreeHours,
    'thermalTime.coveredHours': thermalTime.coveredHours,
  };
}

describe.each([
  ['valve, air, root zone and light', ALL, 16],
  ['air alone', AIR, 14],
  ['a root zone alone, so no film', series('root/temperature', 'Cel', () => 20), 12],
])('a place with %s', (_, records, count) => {
  test(`explains each of its ${count} numbers: the value shown, its unit, a listed source, what it was made of`, async () => {
    const house = await ventedHouse(records);
    const shown = Object.entries(shownBy(house));
    expect(shown).toHaveLength(count);
    for (const [of, value] of shown) {
      const { inputs, coverage, source, ...about } = house.explained(of);
      expect([about.of, about.value]).toEqual([of, value]);
      expect([about.name, about.formula]).not.toContain('');
      // a count has no unit
      expect(about.unit === '', of).toBe(of === 'mist.pulses' || of === 'mist.missed');
      expect(source.key, of).toSatisfy(isListed);
      expect(inputs.length, of).toBeGreaterThan(0);
      for (const input of inputs) expect(input.value, of).not.toBe('');
      if (coverage) expect(coverage.coveredHours, of).toBeLessThanOrEqual(coverage.ofHours);
    }
  });
});

describe('mist', () => {
  test('its 10 pulses come from the 22 readings of the valve and not from the air, with 2 of 2 h on record', async () => {
    // 12 readings every 10 min from 10:00 on, that of 12:00 being outside; each of the 10 pulses has a second, 8 s later
    const { inputs, coverage, value, assumptions } = (await ventedHouse(ALL)).explained('mist.pulses');
    expect(inputs).toMatchObject([
      { name: 'Mist valve: readings in the span', value: 22 },
      { name: 'Span asked about', value: 2, unit: 'h' },
    ]);
    expect(value).toBe(10);
    expect(coverage).toEqual({ coveredHours: 2, ofHours: 2 });
    expect(assumptions).toEqual([expect.stringMatching(/valve.*15 min at most/)]);
  });

  test('its rate in light names 10 pulses in 118 min from the 2 µmol of 10:02 on', async () => {
    const { inputs, assumptions } = (await ventedHouse(ALL)).explained('mist.pulsesPerHourInLight');
    expect(inputs.slice(-2)).toMatchObject([
      { value: 10 },
      { value: expect.closeTo(118 / 60, 9), unit: 'h' },
    ]);
    expect(assumptions.join()).toMatch(/light is 2 µmol/);
  });

  test('its missed pulse names the pattern of 10 min and that none is stated; a stated 20 min is named', async () => {
    expect(valuesOf(await ventedHouse(ALL), 'mist.missed').slice(-2)).toEqual([10, 'none']);
    const stated = await ventedHouse(ALL, { mistEveryMin: 20 });
    expect(valuesOf(stated, 'mist.patternMin').at(-1)).toBe(20);
  });

  test('its longest dry gap names 11:00:08 and 11:20', async () => {
    const { inputs, unit, value } = (await ventedHouse(ALL)).explained('mist.longestDryGap');
    expect(inputs.slice(-2).map(({ at }) => at)).toEqual(['2026-06-01T11:00:08.000Z', time(80)]);
    expect([value, unit]).toEqual([expect.closeTo(20 - 8 / 60, 9), 'min']);
  });

  test('seen by air read every 5 min says that it is not to be counted on', async () => {
    const { assumptions } = (await ventedHouse(AIR)).explained('mist.pulses');
    expect(assumptions[0]).toMatch(/^not to be counted on: /);
  });
});

describe('the film', () => {
  test('names the air of 12:00 by its 2 probes, a leaf of 5 cm, 0.1 m/s, 100 µm and 101.325 kPa', async () => {
    const { inputs, source, assumptions } = (await ventedHouse(ALL)).explained('mist.film.cooledMin');
    expect(inputs).toMatchObject([
      { value: 24, unit: '°C', at: time(120), probe: 'bench-1/air/temperature' },
      { value: 90, unit: '%RH', at: time(120), probe: 'bench-1/air/humidity' },
      { value: 5, unit: 'cm' },
      { value: 0.1 },
      { value: 100 },
      { value: 101.325, unit: 'kPa' },
    ]);
    expect(source.key).toBe('CN98');
    // the keys that the assumptions name are in the list of sources too
    const keys = [...assumptions.join().matchAll(/\[([A-Z\d]+)\]/g)].map(([, key]) => key ?? '');
    expect(keys).toEqual(['DICKINSON93', 'PALM']);
    for (const key of keys) expect(key).toSatisfy(isListed);
  });

  test('in light names the light it was reckoned for, and what a leaf takes up of it', async () => {
    const { inputs, assumptions } = (await ventedHouse(ALL)).explained('mist.film.inLight.dryingMin');
    expect(inputs).toContainEqual(expect.objectContaining({ probe: expect.stringContaining('light') }));
    expect(assumptions.join()).toContain('takes up half of daylight [CN98, recalled]');
  });

  test('that never dries, at 100 %RH, is shown as no number and why', async () => {
    const wet = [...series('air/temperature', 'Cel', () => 24), ...series('air/humidity', '%RH', () => 100)];
    const { value, assumptions } = (await ventedHouse(wet)).explained('mist.film.cooledMin');
    expect(value).toBeNull();
    expect(assumptions[0]).toMatch(/never dries/);
  });
});

describe('vents', () => {
  test('saturated time since names the limit of 97 %RH, the vent shut at 10:40 and 80 of 80 min on record', async () => {
    const { inputs, coverage } = (await ventedHouse(AIR)).explained('vents.hoursSaturatedSinceVent');
    // read at 10:40, 10:45 … 11:55
    expect(inputs.map(({ value }) => value)).toEqual([16, 'from 97 %RH', 'logged', 'logged']);
    expect(inputs.at(-1)).toMatchObject({ name: 'Last vent: shut', at: time(40) });
    expect(coverage).toEqual({ coveredHours: expect.closeTo(4 / 3, 9), ofHours: expect.closeTo(4 / 3, 9) });
  });

  test('the lowest humidity of one names the 3 readings from 10:30 to 10:40', async () => {
    const { inputs } = (await ventedHouse(AIR)).explained('vents.vents.0.lowestPct');
    expect(inputs.map(({ value }) => value)).toEqual([3, 3, 'logged', 'logged']);
  });

  test('without an air probe are not to be counted on', async () => {
    const house = await ventedHouse(series('root/temperature', 'Cel', () => 20));
    expect(house.explained('vents.hoursSinceVent').assumptions[0]).toBe(
      'not to be counted on: nothing recorded',
    );
  });
});

test('thermal time names its base of 21 and upper limit of 28 °C, 24 readings and 2 of 2 h', async () => {
  const { inputs, coverage, value } = (await ventedHouse(ALL)).explained('thermalTime.degreeHours');
  expect(inputs.map((input) => input.value)).toEqual([24, 21, 28]);
  expect(coverage).toEqual({ coveredHours: 2, ofHours: 2 });
  // by hand: 6 K/h; from 0.5 h on ½ × 7/6 h × 7 K, then 1/3 h × 7 K; exact but for rounding
  expect(value).toBeCloseTo(49 / 12 + 7 / 3, 9);
});

test.each([
  'mist.luck',
  'mist',
  'mist.',
  'mist.how',
  'mist.film',
  'mist.film.luck',
  'mist.longestDryGap.from',
  'vents.luck',
  'vents.vents.7.lowestPct',
  'vents.vents.*.lowestPct',
  'vents.vents.00.lowestPct',
  'vents.vents.0.id',
  'vents.vents.length',
  'thermalTime.baseC',
  'thermalTime.constructor',
  'mist.__proto__',
  'mist.constructor.length',
  'vents.vents.__proto__.lowestPct',
])('%s is not found', async (of) => {
  const house = await ventedHouse(ALL);
  expect(() => house.explained(of)).toThrow(expect.objectContaining({ code: 'not-found' }));
});

test('a film is not found where there is no air to dry it', async () => {
  const house = await ventedHouse(series('root/temperature', 'Cel', () => 20));
  expect(() => house.explained('mist.film.cooledMin')).toThrow(
    expect.objectContaining({ code: 'not-found' }),
  );
});

test.each([
  ['mist.pulses', null, LIMITS],
  ['vents.hoursSinceVent', null, LIMITS],
  ['thermalTime.degreeHours', null, LIMITS],
  ['thermalTime.degreeHours', SPAN, null],
])('%s over %j within %j is a bad request', async (of, span, limits) => {
  const house = startHouse();
  await house.report([{ n: 'air/temperature', u: 'Cel', v: 24 }]);
  expect(() => house.daemon.queries.explain('bench-1', { of, span, limits })).toThrow(
    expect.objectContaining({ code: 'bad-request' }),
  );
});
