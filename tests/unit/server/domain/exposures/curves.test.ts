import psychrolib from 'psychrolib';
import { describe, expect, test } from 'vitest';
import { curveOf, OF_AIR } from '../../../../../server/domain/exposures/curves.ts';
import type { PlaceSettings } from '../../../../../shared/model/place.ts';
import type { SeriesQuantityName } from '../../../../../shared/quantities.ts';
import { exposuresOf } from '../../../../support/exposures-of.ts';
import { questionOf, read } from './question.ts';

psychrolib.SetUnitSystem(psychrolib.SI);

const span = [0, 1] as const;
const airOf = (airTemperatureC: number, relativeHumidityPct: number) => ({
  'air/temperature': [read(span, () => airTemperatureC)],
  'air/humidity': [read(span, () => relativeHumidityPct)],
});
type Air = ReturnType<typeof airOf>;
const derived = (quantity: SeriesQuantityName, records: Air, settings: Partial<PlaceSettings> = {}) => {
  const { knots } = curveOf(quantity, questionOf(span, records, settings));
  return knots.count === 0 ? null : knots.values[0];
};
const OF_AIR_NAMES = Object.keys(OF_AIR) as (keyof typeof OF_AIR)[];

describe('altitude', () => {
  test.each([0, 500, 1500, 3000])(
    'of %i m moves wet bulb and humidity ratio as psychrolib has it',
    (altitudeM) => {
      // the same equations: rounding for the ratio; psychrolib halves its wet-bulb bracket down to 0.001 K
      const pressurePa = psychrolib.GetStandardAtmPressure(altitudeM);
      const ratio = psychrolib.GetHumRatioFromVapPres(psychrolib.GetVapPresFromRelHum(25, 0.5), pressurePa);
      expect(derived('humidityRatioGKg', airOf(25, 50), { altitudeM })).toBeCloseTo(1000 * ratio, 6);
      const bulbC = psychrolib.GetTWetBulbFromHumRatio(25, ratio, pressurePa);
      expect(derived('wetBulbC', airOf(25, 50), { altitudeM })).toBeCloseTo(bulbC, 2);
    },
  );

  test('of 3000 m makes air of 25 °C and 50 %RH wetter by the kilogram and its wet bulb cooler', () => {
    const [low, high] = [{ altitudeM: null }, { altitudeM: 3000 }];
    const ratio = (settings: Partial<PlaceSettings>) => derived('humidityRatioGKg', airOf(25, 50), settings);
    expect(ratio(high)).toBeGreaterThan(1.4 * (ratio(low) ?? Number.NaN));
    const bulb = (settings: Partial<PlaceSettings>) => derived('wetBulbC', airOf(25, 50), settings);
    expect(bulb(high)).toBeLessThan(bulb(low) ?? Number.NaN);
  });

  test('not stated is sea level, and 3000 m change neither deficit nor dew point', () => {
    expect(derived('wetBulbC', airOf(25, 50))).toBe(derived('wetBulbC', airOf(25, 50), { altitudeM: 0 }));
    for (const quantity of ['airVpdKpa', 'leafVpdKpa', 'dewPointC', 'absoluteHumidityGM3'] as const) {
      expect(derived(quantity, airOf(25, 50), { altitudeM: 3000 })).toBe(derived(quantity, airOf(25, 50)));
    }
  });
});

describe('a humidity chip at its ends', () => {
  test.each([...OF_AIR_NAMES, 'leafVpdKpa' as const])(
    'reading 105 %RH gives the %s of 100 %RH',
    (quantity) => {
      expect(derived(quantity, airOf(20, 105))).toBe(derived(quantity, airOf(20, 100)));
    },
  );

  test('reading 105 %RH is shown as read, and is 1 h of saturation', () => {
    expect(derived('relativeHumidityPct', airOf(20, 105))).toBe(105);
    const { saturation, vpd } = exposuresOf(questionOf(span, airOf(20, 105)));
    expect([saturation.hoursSaturated, vpd.meanKpa, vpd.hoursBelow]).toEqual([1, 0, 1]);
  });

  test('reading 0 %RH has no dew point, a gap, and no condensation covered; its ratio is 0', () => {
    const dry = airOf(20, 0);
    expect(derived('dewPointC', dry)).toBeNull();
    expect(curveOf('dewPointC', questionOf(span, dry)).segments.count).toBe(0);
    expect(derived('humidityRatioGKg', dry)).toBe(0);
    const walled = { ...dry, 'wall/temperature': [read(span, () => 5)] };
    expect(exposuresOf(questionOf(span, walled)).condensation).toEqual({
      surface: 'wall',
      coveredHours: 0,
      hoursBelowDewPoint: 0,
      minMarginK: null,
    });
  });

  test('reading 0 %RH once, at 0:30, leaves a dew point for 40 min on its two sides', () => {
    const once = {
      'air/temperature': [read(span, () => 20)],
      'air/humidity': [read(span, (hour) => (hour === 0.5 ? 0 : 60))],
    };
    const { segments } = curveOf('dewPointC', questionOf(span, once));
    // by hand: of 6 pieces of 10 min the two that touch 0:30 are gone
    expect(segments.count).toBe(4);
  });
});

describe('a probe gone wrong', () => {
  // 120 °C at 90 %RH: the vapour alone, 179 kPa, would press harder than the air of 101.325 kPa
  test('of 120 °C at 90 %RH has a deficit and no wet bulb or humidity ratio', () => {
    expect(derived('airVpdKpa', airOf(120, 90))).toBeGreaterThan(19);
    expect(derived('wetBulbC', airOf(120, 90))).toBeNull();
    expect(derived('humidityRatioGKg', airOf(120, 90))).toBeNull();
  });

  test.each([
    [150, 105, 15],
    [150, 0, -10],
    [-150, 105, -10],
    [-150, 0, 15],
    [100, 100, 0],
  ])('of %d °C and %d %RH, a leaf assumed %d K off, still gives exposures at 6000 m', (airC, rh, offsetK) => {
    const records = {
      ...airOf(airC, rh),
      'root/temperature': [read(span, () => airC)],
      'wall/temperature': [read(span, () => airC)],
    };
    const question = questionOf(span, records, { altitudeM: 6000, leafOffsetK: offsetK });
    const exposures = exposuresOf(question);
    expect([exposures.air.coveredHours, exposures.vpd.coveredHours]).toEqual([1, 1]);
    expect(exposures.leafVpd.coveredHours).toBe(Math.abs(airC + offsetK) > 150 ? 0 : 1);
    for (const quantity of OF_AIR_NAMES) {
      const { knots } = curveOf(quantity, question);
      for (const value of knots.values.slice(0, knots.count)) expect(value).toSatisfy(Number.isFinite);
    }
  });

  test('near boiling, from 60 °C at sea level up, every wet bulb that exists is finite and at most the air', () => {
    for (let airTemperatureC = 60; airTemperatureC <= 150; airTemperatureC += 2.5) {
      for (let relativeHumidityPct = 0; relativeHumidityPct <= 100; relativeHumidityPct += 2.5) {
        const bulbC = OF_AIR.wetBulbC({ airTemperatureC, relativeHumidityPct }, 101.325);
        if (bulbC === null) continue;
        expect(bulbC).toSatisfy(Number.isFinite);
        expect(bulbC).toBeLessThanOrEqual(airTemperatureC);
      }
    }
  });
});
