import { describe, expect, test } from 'vitest';
import { exposuresOf } from '../../../../support/exposures-of.ts';
import { questionOf, read } from './question.ts';

// Saturation over water at 20, 25 and 30 °C, kPa: [ASHRAE17] table 3, as in tests/truth. The fit lies within
// 0.0007 kPa of it: deficits are compared to 0.001 kPa, what is summed over hours to that times the hours.
const [at20, at25, at30] = [2.3392, 3.1697, 4.2467];
const span = [0, 2] as const;
const steady = (value: number) => [read(span, () => value)];
const asked = (...given: Parameters<typeof questionOf>) => exposuresOf(questionOf(...given));

describe('deficit at the leaf over 2 h', () => {
  const air = { 'air/temperature': steady(25), 'air/humidity': steady(60) };

  test('of a leaf read at 20 °C in air of 25 °C and 60 %RH is e(20) − 0.6 e(25), 0.437 kPa', () => {
    const { leafVpd } = asked(span, { ...air, 'leaf/temperature': steady(20) });
    const expected = at20 - 0.6 * at25;
    expect(leafVpd).toMatchObject({ coveredHours: 2, assumedOffsetK: null });
    expect(leafVpd.kpaHours).toBeCloseTo(2 * expected, 3);
    expect(leafVpd.maxKpa).toBeCloseTo(expected, 3);
    expect(leafVpd.meanKpa).toBeCloseTo(expected, 3);
  });

  test('of a leaf assumed 5 K cooler, and 5 K warmer, is that of 20 and of 30 °C, and says so', () => {
    const cooler = asked(span, air, { leafOffsetK: -5 }).leafVpd;
    expect([cooler.coveredHours, cooler.assumedOffsetK]).toEqual([2, -5]);
    expect(cooler.kpaHours).toBeCloseTo(2 * (at20 - 0.6 * at25), 3);
    const warmer = asked(span, air, { leafOffsetK: 5 }).leafVpd;
    expect(warmer.assumedOffsetK).toBe(5);
    expect(Math.abs(warmer.kpaHours - 2 * (at30 - 0.6 * at25))).toBeLessThan(0.002);
  });

  test('of a leaf assumed at the air is the deficit of the air', () => {
    const { leafVpd, vpd } = asked(span, air);
    expect(leafVpd).toMatchObject({ coveredHours: 2, meanKpa: vpd.meanKpa, maxKpa: vpd.maxKpa });
  });

  test('without air is 0 h covered, with no mean', () => {
    const { leafVpd } = asked(span, { 'leaf/temperature': steady(20) });
    expect(leafVpd).toMatchObject({ coveredHours: 0, kpaHours: 0, meanKpa: null, maxKpa: null });
  });

  test('of a leaf read in the 2nd hour only, covers that hour', () => {
    const { leafVpd } = asked(span, { ...air, 'leaf/temperature': [read([1, 2], () => 20)] });
    expect(leafVpd.coveredHours).toBe(1);
    expect(leafVpd.kpaHours).toBeCloseTo(at20 - 0.6 * at25, 3);
  });
});

describe('deficit of 25 °C at 50 %RH in daylight, a day from 6:00 to 20:00', () => {
  const records = {
    'air/temperature': [read([0, 24], () => 25)],
    'air/humidity': [read([0, 24], () => 50)],
  };

  test.each([
    [[0, 24], 14],
    [[4, 10], 4],
    [[18, 24], 2],
    [[0, 5], 0],
  ] as const)('over %j h counts %i h', (window, hours) => {
    const { daylightVpd } = asked(window, records);
    expect(daylightVpd.coveredHours).toBeCloseTo(hours, 9);
    // by hand: ½ e(25) × h; 14 h of the tolerance above
    expect(daylightVpd.kpaHours).toBeCloseTo((at25 / 2) * hours, 2);
  });
});

describe('root zone minus air', () => {
  test('of 20 °C under air that goes from 18 to 24 °C in 2 h: the air is warmer for 80 min, by 2.667 K·h', () => {
    // by hand: +2 to −4 K crosses 0 after 40 min; then ½ × 4/3 h × 4 K
    const { rootMinusAir } = asked(span, {
      'root/temperature': steady(20),
      'air/temperature': [read(span, (hour) => 18 + 3 * hour)],
    });
    expect(rootMinusAir.coveredHours).toBeCloseTo(2, 9);
    expect(rootMinusAir.hoursAirWarmer).toBeCloseTo(80 / 60, 9);
    expect(rootMinusAir.degreeHoursAirWarmer).toBeCloseTo(8 / 3, 9);
    expect([rootMinusAir.minK, rootMinusAir.maxK]).toEqual([-4, 2]);
    expect(rootMinusAir.meanK).toBeCloseTo(-1, 9);
  });

  test('of 20 °C under 20 °C counts no hour with the air the warmer', () => {
    const { rootMinusAir } = asked(span, { 'root/temperature': steady(20), 'air/temperature': steady(20) });
    expect(rootMinusAir).toMatchObject({ coveredHours: 2, hoursAirWarmer: 0, minK: 0, maxK: 0, meanK: 0 });
  });
});

describe('condensation', () => {
  // air of 25 °C whose vapour saturates at 20 °C: its dew point is 20 °C by definition. toBeCloseTo(x, 2), 0.005 K:
  // the 0.0005 kPa between fit and table over the slope there, 0.145 kPa/K
  const damp = { 'air/temperature': steady(25), 'air/humidity': steady((100 * at20) / at25) };
  const falling = [read(span, (hour) => 22 - 2 * hour)];

  test('on a wall that falls from 22 to 18 °C under a dew point of 20 °C: 1 of 2 h, down to −2 K', () => {
    const { condensation } = asked(span, { ...damp, 'wall/temperature': falling });
    expect(condensation).toMatchObject({ surface: 'wall', coveredHours: 2 });
    expect(condensation.hoursBelowDewPoint).toBeCloseTo(1, 2);
    expect(condensation.minMarginK).toBeCloseTo(-2, 2);
  });

  test('with an outside probe of 10 °C and no wall the outside stands in: 2 h, −10 K', () => {
    const { condensation } = asked(span, { ...damp, 'outside/temperature': steady(10) });
    expect(condensation).toMatchObject({ surface: 'outside', coveredHours: 2, hoursBelowDewPoint: 2 });
    expect(condensation.minMarginK).toBeCloseTo(-10, 2);
  });

  test('with both, the wall of 30 °C counts and the outside of 0 °C does not', () => {
    const { condensation } = asked(span, {
      ...damp,
      'wall/temperature': steady(30),
      'outside/temperature': steady(0),
    });
    expect(condensation).toMatchObject({ surface: 'wall', hoursBelowDewPoint: 0 });
    expect(condensation.minMarginK).toBeCloseTo(10, 2);
  });

  test('with neither, nothing is watched and 0 h are covered', () => {
    const nothing = { surface: null, coveredHours: 0, hoursBelowDewPoint: 0, minMarginK: null };
    expect(asked(span, damp).condensation).toEqual(nothing);
  });
});

describe('photoperiod, at or above 2 µmol m⁻² s⁻¹', () => {
  test('of light from 0 to 4 in 2 h is 1 h, of exactly 2 all through 2 h, of 1.9 none', () => {
    const hoursOf = (valueAt: (hour: number) => number) =>
      asked(span, { 'light/ppfd': [read(span, valueAt)] }).light.days[0]?.photoperiodHours;
    expect(hoursOf((hour) => 2 * hour)).toBeCloseTo(1, 9);
    expect(hoursOf(() => 2)).toBe(2);
    expect(hoursOf(() => 1.9)).toBe(0);
  });

  test('of 2 days lit for 3 and 5 h is shown day by day', () => {
    const lit = (hour: number) => ((hour > 9 && hour < 12.01) || (hour > 33 && hour < 38.01) ? 100 : 0);
    const { days } = asked([0, 48], { 'light/ppfd': [read([0, 48], lit)] }).light;
    expect(days.map(({ date }) => date)).toEqual(['2026-03-01', '2026-03-02']);
    // by hand: lit from 9:10 to 12:00 and 2 flanks of 10 min of which 98 % lie above 2
    expect(days[0]?.photoperiodHours).toBeCloseTo(3 - 1 / 6 + (2 * 0.98) / 6, 9);
    expect(days[1]?.photoperiodHours).toBeCloseTo(5 - 1 / 6 + (2 * 0.98) / 6, 9);
  });
});
