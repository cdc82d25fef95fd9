import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { minutesWithoutMist, type UnmistedCuttings } from '../../../../shared/harm/minutes-without-mist.ts';

const inTheDark: UnmistedCuttings = { ageDays: 0, vpdKpa: 1.2, ppfdUmolM2S: 0, isPoinsettia: true };
const of = (change: Partial<UnmistedCuttings>) => {
  const estimate = minutesWithoutMist({ ...inTheDark, ...change });
  if (!estimate) throw new Error('no estimate');
  return estimate;
};
const anyCuttings = fc.record({
  ageDays: fc.double({ min: 0, max: 6, noNaN: true }),
  vpdKpa: fc.double({ min: 0, max: 5, noNaN: true }),
  ppfdUmolM2S: fc.option(fc.double({ min: 0, max: 2000, noNaN: true })),
  isPoinsettia: fc.boolean(),
});

describe('minutes without mist', () => {
  // [ALEM19] abstract: poinsettia in the dark
  test.each([
    [0, 72],
    [2, 130],
    [4, 224],
    [6, 325],
  ])('on day %d poinsettia in the dark wilts after %d min', (ageDays, minutes) => {
    expect(of({ ageDays }).minutes).toBeCloseTo(minutes, 9);
  });

  test('between two days of the paper lies a straight line: 101 min on day 1', () => {
    expect(of({ ageDays: 1 }).minutes).toBeCloseTo(101, 9);
  });

  test('nothing is said past day 6', () => {
    expect(minutesWithoutMist({ ...inTheDark, ageDays: 6.01 })).toBeNull();
    expect(minutesWithoutMist({ ...inTheDark, ageDays: 18 })).toBeNull();
  });

  test('air that pulls twice as hard halves the minutes, light of 275 µmol leaves a third', () => {
    expect(of({ vpdKpa: 2.4 }).minutes).toBeCloseTo(36, 9);
    expect(of({ vpdKpa: 0.6 }).minutes).toBeCloseTo(144, 9);
    expect(of({ ppfdUmolM2S: 275 }).minutes).toBeCloseTo(24, 9);
    // the paper says nothing of more light: the middle stays, the low end falls on
    expect(of({ ppfdUmolM2S: 550 }).minutes).toBeCloseTo(24, 9);
    expect(of({ ppfdUmolM2S: 550 }).low).toBeLessThan(of({ ppfdUmolM2S: 275 }).low);
  });

  test('nothing beyond the 325 min that were measured is said: at 0.2 kPa day 0 is cut there, not 432 min', () => {
    expect(of({ vpdKpa: 0.2 })).toMatchObject({ minutes: 325, high: 325, longerThanMeasured: true });
    // 72 min / (0.2 / 1.2) / 1.5 / √6
    expect(of({ vpdKpa: 0.2 }).low).toBeCloseTo(117.576, 3);
    expect(of({ vpdKpa: 0.25 }).longerThanMeasured).toBe(true);
    // 72 × 1.2 / 0.27 = 320
    expect(of({ vpdKpa: 0.27 })).toMatchObject({ high: 325, longerThanMeasured: false });
    expect(of({ vpdKpa: 0 })).toEqual(of({ vpdKpa: 0.1 }));
  });

  test('day 6 in the air and the dark of the test is the longest measured, and itself within', () => {
    expect(of({ ageDays: 6 })).toMatchObject({ minutes: 325, longerThanMeasured: false });
    expect(of({ ageDays: 6, vpdKpa: 1.19 }).longerThanMeasured).toBe(true);
  });

  test('in the air of the test it is 72 min, 48 to 108; twice as wide either way for another crop', () => {
    expect(of({})).toEqual({ minutes: 72, low: 48, high: 108, longerThanMeasured: false });
    expect(of({ isPoinsettia: false })).toMatchObject({ minutes: 72, low: 24, high: 216 });
  });

  test('the range widens away from the air of the test, to either side alike', () => {
    const width = (vpdKpa: number) => of({ vpdKpa }).high / of({ vpdKpa }).low;
    expect(width(0.6)).toBeGreaterThan(width(1.2));
    expect(width(2.4)).toBeCloseTo(width(0.6), 9);
    expect(width(4.8)).toBeGreaterThan(width(2.4));
  });

  test('where light is not known the middle is that of the dark, and the low end below that of 275 µmol', () => {
    const unknown = of({ ppfdUmolM2S: null });
    expect(unknown.minutes).toBe(72);
    expect(unknown.low).toBeLessThanOrEqual(of({ ppfdUmolM2S: 275 }).low);
  });

  test('for 500 random batches the range holds the estimate, drier air never gives more, age never less', () => {
    fc.assert(
      fc.property(anyCuttings, (cuttings) => {
        const { minutes, low, high } = of(cuttings);
        expect(low).toBeGreaterThan(0);
        expect(low).toBeLessThanOrEqual(minutes);
        expect(high).toBeGreaterThanOrEqual(minutes);
        expect(high).toBeLessThanOrEqual(325);
        if (minutes < 325) expect(low).toBeLessThan(minutes);
        expect(of({ ...cuttings, vpdKpa: cuttings.vpdKpa + 0.5 }).minutes).toBeLessThanOrEqual(minutes);
        expect(
          of({ ...cuttings, ageDays: Math.min(cuttings.ageDays + 1, 6) }).minutes,
        ).toBeGreaterThanOrEqual(minutes);
      }),
      { numRuns: 500 },
    );
  });

  test.each([
    ['ageDays', -1],
    ['vpdKpa', Number.NaN],
    ['ppfdUmolM2S', -5],
  ])('%s of %d is refused', (key, value) => {
    expect(() => minutesWithoutMist({ ...inTheDark, [key]: value })).toThrow(key);
  });
});
