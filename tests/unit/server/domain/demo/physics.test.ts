import { describe, expect, it } from 'vitest';
import { relativeHumidityPct, relaxed, steppedMedium } from '../../../../../server/domain/demo/physics.ts';
import { gaussian, uniform } from '../../../../../server/domain/demo/random.ts';
import { localMoment } from '../../../../../server/domain/demo/scenario.ts';

const STILL = {
  matWM2: 0,
  surfaceWM2: 0,
  airC: 16,
  topLossWM2K: 0,
  belowC: 16,
  belowLossWM2K: 0,
  layerHeatJM2K: 52_000,
  layerExchangeWM2K: 34,
  stepS: 10,
};

describe('the physics of the demo', () => {
  it('settles a store between 10 and 30 °C by conductances 3 to 1 at 15 °C, however long the step', () => {
    // Steady state by hand: (3 × 10 + 1 × 30) / 4 = 15.
    const paths = [
      { conductance: 3, farEnd: 10 },
      { conductance: 1, farEnd: 30 },
    ];
    expect(relaxed({ value: 90, capacity: 1, gain: 0, paths, stepS: 1e9 })).toBeCloseTo(15, 6);
  });

  it('keeps the heat of a medium that loses none: layers at 26 and 20 °C end at 23 °C', () => {
    let medium = { baseC: 26, topC: 20 };
    for (let i = 0; i < 10_000; i++) medium = steppedMedium(medium, STILL);
    // By hand: equal layers share their heat, (26 + 20) / 2.
    expect(medium.baseC).toBeCloseTo(23, 6);
    expect(medium.topC).toBeCloseTo(23, 6);
  });

  it('warms two layers of 52 kJ/m²K by 1.3 K in 15 min under a mat of 150 W/m² without losses', () => {
    let medium = { baseC: 20, topC: 20 };
    for (let i = 0; i < 90; i++) medium = steppedMedium(medium, { ...STILL, matWM2: 150 });
    // By hand: 150 W/m² × 900 s / 104 000 J/m²K = 1.298 K on the mean; 1 % for the step.
    expect((medium.baseC + medium.topC) / 2 - 20).toBeCloseTo(1.298, 1);
  });

  it('reads 50 %RH from 1.169 kPa at 20 °C and never more than 100', () => {
    // Saturation at 20 °C: 2.339 kPa, steam tables; half of it is 1.1695.
    expect(relativeHumidityPct({ vapourKpa: 1.1695, temperatureC: 20 })).toBeCloseTo(50, 1);
    expect(relativeHumidityPct({ vapourKpa: 3, temperatureC: 20 })).toBe(100);
  });

  it('draws 20000 numbers of mean 0.5 and of mean 0 with deviation 1, each again by its index', () => {
    const indices = Array.from({ length: 20_000 }, (_, index) => index);
    const mean = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0) / numbers.length;
    const even = indices.map((index) => uniform({ seed: 1, stream: 5, index }));
    const normal = indices.map((index) => gaussian({ seed: 1, stream: 5, index }));
    // Five standard errors: 5 × 0.2887 / √20000 = 0.0102; 5 / √20000 = 0.035; deviation 5 / √40000 = 0.025.
    expect(Math.abs(mean(even) - 0.5)).toBeLessThan(0.0102);
    expect(Math.abs(mean(normal))).toBeLessThan(0.035);
    expect(Math.abs(Math.sqrt(mean(normal.map((x) => x * x))) - 1)).toBeLessThan(0.025);
    expect(uniform({ seed: 1, stream: 5, index: 77 })).toBe(even[77]);
  });

  it('finds 22:00 of the day before at 0 h UTC two hours to the west', () => {
    expect(localMoment({ tMs: 0, utcOffsetMs: -7_200_000 })).toEqual({ day: -1, hour: 22 });
  });
});
