import { describe, expect, test } from 'vitest';
import { EVERYTHING, HOUR, hourOf, isListed, only, TWO_DAYS } from './place.ts';

type House = Awaited<ReturnType<typeof hourOf>>;
const explained = (house: House, path: string, span = HOUR) =>
  house.daemon.queries.explain('bench-1', { of: `exposures.${path}`, span });

/** Every number in an answer, or null where one would be, with the path to it. */
function numbersIn(answer: object, path: readonly string[] = []): [string, number | null][] {
  return Object.entries(answer).flatMap(([key, value]: [string, unknown]): [string, number | null][] => {
    const here = [...path, key];
    if (typeof value === 'object' && value !== null) return numbersIn(value, here);
    // the only null that is no number: which surface is watched
    if (typeof value === 'number' || (value === null && key !== 'surface')) return [[here.join('.'), value]];
    return [];
  });
}

describe.each([
  ['all probes', EVERYTHING],
  ['air alone', only('air/temperature', 'air/humidity')],
  ['no reading in the span', {}],
])('a place with %s', (_, probes) => {
  test('explains each of the 81 numbers of 2 days, 3 dates: the value, a unit, a listed source, readings and coverage', async () => {
    const house = await hourOf({ 'battery/level': ['%EL', () => 90], ...probes });
    const exposures = house.daemon.queries.exposures('bench-1', TWO_DAYS);
    const numbers = numbersIn(exposures);
    expect(numbers).toHaveLength(81);
    for (const [path, value] of numbers) {
      const { inputs, coverage, source, ...about } = explained(house, path, TWO_DAYS);
      expect([about.of, about.value]).toEqual([`exposures.${path}`, value]);
      expect([about.name, about.unit, about.formula]).not.toContain('');
      expect(source.key, path).toSatisfy(isListed);
      expect(inputs.length, path).toBeGreaterThan(0);
      for (const input of inputs) expect([typeof input.value, input.value]).not.toContain('undefined');
      expect(coverage?.coveredHours).toBeLessThanOrEqual(coverage?.ofHours ?? Number.NaN);
    }
  });
});

describe('coverage', () => {
  test('of a DLI is counted of the 14 h of its day in the span, of daylight deficit of the 14 h of day', async () => {
    // 2026-06-01 10:00 to 2026-06-02 10:00 UTC: 14 h of the 1st, 10 h of the 2nd; day from 6:00 to 20:00
    const house = await hourOf(EVERYTHING);
    const oneDay = { ...HOUR, toMs: HOUR.fromMs + 24 * 3_600_000 };
    const [first, second] = [0, 1].map((i) => explained(house, `light.days.${i}.dliMolM2`, oneDay));
    expect(first?.coverage).toEqual({ coveredHours: 1, ofHours: 14 });
    expect(second?.coverage).toEqual({ coveredHours: 0, ofHours: 10 });
    expect(explained(house, 'light.coveredHours', oneDay).coverage?.ofHours).toBe(24);
    expect(explained(house, 'daylightVpd.kpaHours', oneDay).coverage?.ofHours).toBe(14);
    expect(explained(house, 'rootZone.meanC', oneDay).coverage).toEqual({ coveredHours: 1, ofHours: 24 });
  });
});

describe('what a number was counted from', () => {
  test('the root zone names its 12 readings from 10:00 up to 11:00, and the bands in force', async () => {
    const house = await hourOf(EVERYTHING);
    const { inputs, assumptions } = explained(house, 'rootZone.degreeHoursBelow');
    // read every 5 min from 10:00 to 11:00; a span holds its start and not its end
    expect(inputs).toMatchObject([
      { name: 'Root-zone temperature: readings in the span', value: 12 },
      { name: 'Limit in force', value: 'day 21.1 to 26.7 °C' },
    ]);
    expect(assumptions).toEqual([expect.stringMatching(/at most 15 min apart/)]);
  });

  test('air names the 24 readings of its 2 probes and its ceiling', async () => {
    const { inputs } = explained(await hourOf(EVERYTHING), 'air.hoursOverCeiling');
    expect(inputs.map(({ value }) => value)).toEqual([24, 'day 21.1 to 26.7 °C', 'ceiling 26.7 °C']);
  });

  test('wet hours name the published condition: its source, its 13 to 24 °C and its 93 %RH', async () => {
    const house = await hourOf(EVERYTHING);
    const rows = house.daemon.queries.exposures('bench-1', HOUR).wetHours;
    const row = rows.findIndex(({ condition }) => condition === 'botrytis-extension');
    for (const field of ['hours', 'longestHours']) {
      const { source, inputs } = explained(house, `wetHours.${row}.${field}`);
      expect(source.key).toBe('UMASS-BOTRYTIS');
      const limits = inputs.filter(({ name }) => name === 'Published limit').map(({ value }) => value);
      expect(limits).toEqual(['13 to 24 °C', 'from 93 %RH']);
    }
  });

  test('condensation names the wall when there is one, and the outside as stand-in when not', async () => {
    const walled = explained(await hourOf(EVERYTHING), 'condensation.minMarginK');
    expect(walled.inputs.map(({ name }) => name).join()).toMatch(/Wall/);
    expect(walled.assumptions.join()).not.toMatch(/outside/);
    const probes = only('air/temperature', 'air/humidity', 'outside/temperature');
    const standIn = explained(await hourOf(probes), 'condensation.minMarginK');
    expect(standIn.inputs.map(({ name }) => name).join()).toMatch(/Outside/);
    expect(standIn.assumptions.join()).toMatch(/outside air stands in/);
  });

  test('the leaf’s assumed 3 K are said wherever its deficit is explained', async () => {
    const house = await hourOf(only('air/temperature', 'air/humidity'), { leafOffsetK: 3 });
    for (const field of ['kpaHours', 'assumedOffsetK']) {
      expect(explained(house, `leafVpd.${field}`).assumptions.join()).toMatch(/assumed 3 K warmer/);
    }
  });
});

test.each([
  'luck',
  'air',
  'air.luck',
  'air.minC.minC',
  'light.days',
  'light.days.7.dliMolM2',
  'light.days.length',
  '__proto__',
  'constructor',
  'air.__proto__',
  'air.constructor.length',
  '__proto__.air.minC',
  'wetHours.length',
  'condensation.surface',
  'placeId',
  '',
  '.',
  'air..minC',
  'toString.coveredHours',
])('exposures.%s is not found', async (path) => {
  const house = await hourOf(only('air/temperature'));
  expect(() => explained(house, path)).toThrow(expect.objectContaining({ code: 'not-found' }));
});
