import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { vapourPressureKpa } from '../../shared/climate/humidity.ts';
import { latentHeatMjKg } from '../../shared/climate/latent.ts';
import {
  forcedVapourConductanceMolM2S,
  freeVapourConductanceMolM2S,
  leafFilmDrying,
  USUAL_LEAF,
  type WetLeaf,
} from '../../shared/climate/leaf-film.ts';
import { saturationPressureOverWaterKpa } from '../../shared/climate/saturation.ts';
import { wetBulbC } from '../../shared/climate/wetbulb.ts';

fc.configureGlobal({ seed: 1, numRuns: 1000 });

const bench = { airTemperatureC: 24, relativeHumidityPct: 90, pressureKpa: 101.325 };
const held: WetLeaf = { ...USUAL_LEAF, ...bench, netRadiationWM2: null };
const cooled: WetLeaf = { ...held, netRadiationWM2: 0 };
const minutes = (leaf: WetLeaf) => leafFilmDrying(leaf).dryingMin ?? Number.POSITIVE_INFINITY;

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const anyLeaf = fc.record({
  airTemperatureC: between(0, 60),
  relativeHumidityPct: between(0, 100),
  pressureKpa: between(60, 105),
  leafWidthM: between(0.002, 0.5),
  airSpeedMS: between(0, 10),
  filmUm: between(1, 300),
  wetSides: fc.constantFrom<1 | 2>(1, 2),
  netRadiationWM2: between(-200, 1200),
});

describe('how long a leaf stays wet', () => {
  // film-0.1-24-90-0.1-eb of check-values.json gives the linearised Penman form 3.7835 h beside the solved 3.755 h.
  test('evaporative cooling makes 2.14 h of 3.75 h at 24 °C and 90 %RH, within 1 % of the linearised Penman form', () => {
    expect(minutes(held) / 60).toBeCloseTo(2.136, 3);
    expect(Math.abs(minutes(cooled) / 60 / 3.7835025 - 1)).toBeLessThan(0.01);
  });

  test('100 W/m² of sun dries the same leaf sooner than either, and 200 W/m² sooner still', () => {
    const [weak, strong] = [100, 200].map((netRadiationWM2) => minutes({ ...held, netRadiationWM2 }));
    expect(weak).toBeLessThan(minutes(held));
    expect(strong).toBeLessThan(weak ?? 0);
  });

  // Reckoned apart from this code: 225, 48 and 26 min for net radiation of 0, 150 and 300.
  test.each([
    [0, 225],
    [150, 48],
    [300, 26],
  ])('%d W/m² of net radiation dry it in %d min', (netRadiationWM2, dryMin) => {
    expect(minutes({ ...held, netRadiationWM2 })).toBeCloseTo(dryMin, -0.3);
  });

  // Row gva-free-1-0.036: 0.1263 mol m⁻² s⁻¹ in still air where 0.1 m/s gives 0.2450; 0.01 h is their rounding.
  test('still air dries at the pace of free convection: 4.14 h where 0.1 m/s takes 2.14 h', () => {
    const still = leafFilmDrying({ ...held, airSpeedMS: 0 });
    expect(still.assumed.convection).toBe('free');
    expect(Math.abs((still.dryingMin ?? 0) / 60 - (2.136 * 0.245) / 0.1263)).toBeLessThan(0.01);
  });

  test('a film on both sides takes as long as on one at 24 °C, but longer once evaporation cools the leaf', () => {
    expect(minutes({ ...held, wetSides: 2 })).toBe(minutes(held));
    expect(minutes({ ...cooled, wetSides: 2 })).toBeGreaterThan(minutes(cooled));
  });

  test('twice the film takes twice the time, and all that was assumed comes back', () => {
    const thick = leafFilmDrying({ ...held, filmUm: 200 });
    expect(thick.dryingMin).toBeCloseTo(2 * minutes(held), 9);
    expect(thick.assumed).toMatchObject({
      filmUm: 200,
      leafWidthM: 0.05,
      airSpeedMS: 0.1,
      wetSides: 1,
      netRadiationWM2: null,
      leafTemperatureC: 24,
    });
  });

  test('saturated air never dries a leaf, null, unless 100 W/m² warm it', () => {
    const wet = { ...held, relativeHumidityPct: 100 };
    expect(leafFilmDrying(wet).dryingMin).toBeNull();
    expect(leafFilmDrying({ ...wet, netRadiationWM2: 0 }).dryingMin).toBeNull();
    expect(leafFilmDrying({ ...wet, netRadiationWM2: -50 }).dryingMin).toBeNull();
    expect(minutes({ ...wet, netRadiationWM2: 100 })).toBeLessThan(120);
  });
});

describe('which way it goes', () => {
  test.each([
    ['10 %RH drier air', { relativeHumidityPct: 80 }],
    ['air 5 °C warmer', { airTemperatureC: 29 }],
    ['air three times as fast', { airSpeedMS: 0.3 }],
    ['a leaf half as wide', { leafWidthM: 0.025 }],
    ['thinner air, 80 kPa', { pressureKpa: 80 }],
  ])('%s dries it sooner, held at the air temperature or cooled', (_, change) => {
    for (const leaf of [held, cooled])
      expect(minutes({ ...leaf, ...change }), JSON.stringify(leaf)).toBeLessThan(minutes(leaf));
  });

  test('each 10 W/m² more, from −200 to 1200, leaves the leaf warmer', () => {
    let before = Number.NEGATIVE_INFINITY;
    for (let netRadiationWM2 = -200; netRadiationWM2 <= 1200; netRadiationWM2 += 10) {
      const { leafTemperatureC } = leafFilmDrying({ ...held, netRadiationWM2 }).assumed;
      expect(leafTemperatureC).toBeGreaterThan(before);
      before = leafTemperatureC;
    }
  });

  test('a leaf wet on one side in the dark is between the wet bulb and the air, from 5 to 100 %RH', () => {
    for (let humidity = 5; humidity <= 100; humidity += 5) {
      const leaf = { ...cooled, relativeHumidityPct: humidity };
      const { leafTemperatureC } = leafFilmDrying(leaf).assumed;
      expect(leafTemperatureC).toBeGreaterThanOrEqual(wetBulbC(leaf) - 1e-5);
      expect(leafTemperatureC).toBeLessThanOrEqual(24 + 1e-9);
    }
  });
});

describe('the heat balance', () => {
  // Written out again with the constants of [CN98]: 0.135/0.147 and 0.05/0.055 for heat, 29.3 J/(mol K), 0.97.
  test('of 1000 leaves closes within 0.001 W/m², gain less what evaporation, air and radiation take', () => {
    fc.assert(
      fc.property(anyLeaf, (leaf) => {
        const { leafTemperatureC: leafC, vapourConductanceMolM2S } = leafFilmDrying(leaf).assumed;
        const deficitKpa = saturationPressureOverWaterKpa(leafC) - vapourPressureKpa(leaf);
        const evaporation = (leaf.wetSides * vapourConductanceMolM2S * deficitKpa) / leaf.pressureKpa;
        const dimension = leaf.leafWidthM * 0.72;
        const heat = Math.max(
          0.135 * Math.sqrt(leaf.airSpeedMS / dimension),
          0.05 * (Math.max(1, leafC - leaf.airTemperatureC) / dimension) ** 0.25,
        );
        const radiated = 4 * 0.97 * 5.670374e-8 * (leaf.airTemperatureC + 273.15) ** 3;
        const latent = latentHeatMjKg(leaf.airTemperatureC) * 1e6 * 0.018015 * evaporation;
        const lost = latent + 2 * (heat * 29.3 + radiated) * (leafC - leaf.airTemperatureC);
        expect(Math.abs(leaf.netRadiationWM2 - lost)).toBeLessThan(1e-3);
      }),
    );
  });

  test('gives every leaf a time above 0 or null, also at 20 and 120 kPa, 0 and 60 °C, 0 and 100 %RH', () => {
    const ends = fc.record({
      airTemperatureC: fc.constantFrom(0, 60),
      relativeHumidityPct: fc.constantFrom(0, 100),
      pressureKpa: fc.constantFrom(20, 120),
      leafWidthM: fc.constantFrom(0.002, 0.5),
      airSpeedMS: fc.constantFrom(0, 10),
      filmUm: fc.constantFrom(1, 300),
      wetSides: fc.constantFrom<1 | 2>(1, 2),
      netRadiationWM2: fc.constantFrom(null, -200, 1200),
    });
    fc.assert(
      fc.property(ends, (leaf) => {
        const { dryingMin } = leafFilmDrying(leaf);
        if (dryingMin !== null) expect(dryingMin > 0 && Number.isFinite(dryingMin)).toBe(true);
      }),
    );
  });
});

test.each([
  ['−0.1 °C', { airTemperatureC: -0.1 }, 'air temperature at a wet leaf must be from 0 to 60 °C'],
  ['61 °C', { airTemperatureC: 61 }, 'from 0 to 60 °C, was 61'],
  ['101 %RH', { relativeHumidityPct: 101 }, 'from 0 to 100 %RH, was 101'],
  ['19 kPa', { pressureKpa: 19 }, 'from 20 to 120 kPa, was 19'],
  ['a leaf of 1 mm', { leafWidthM: 0.001 }, 'leaf width must be from 0.002 to 0.5 m'],
  ['11 m/s', { airSpeedMS: 11 }, 'air speed must be from 0 to 10 m/s'],
  ['a film of 0 µm', { filmUm: 0 }, 'water film must be from 1 to 300 µm'],
  ['NaN µm', { filmUm: Number.NaN }, 'was NaN'],
  ['1300 W/m²', { netRadiationWM2: 1300 }, 'net radiation must be from -200 to 1200 W/m²'],
])('%s is refused with the quantity, its range and its unit', (_, change, message) => {
  expect(() => leafFilmDrying({ ...held, ...change })).toThrow(RangeError);
  expect(() => leafFilmDrying({ ...held, ...change })).toThrow(message);
});

test.each([
  ['−1 m/s', () => forcedVapourConductanceMolM2S({ airSpeedMS: -1, leafWidthM: 0.05 }), '0 to 10 m/s'],
  ['a leaf 1 K cooler', () => freeVapourConductanceMolM2S({ leafMinusAirK: -1, leafWidthM: 0.05 }), '150 K'],
  ['ice', () => latentHeatMjKg(-1), 'water temperature must be from 0 to 100 °C, was -1'],
])('%s has no conductance or latent heat', (_, call, message) => {
  expect(call).toThrow(message);
});
