import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { segmentsOf } from '../../../../shared/exposure/coverage.ts';
import { probeRecord } from '../../../../shared/exposure/series.ts';
import { doseOver } from '../../../../shared/harm/dose.ts';
import { type HarmLimit, harmRate, rateAt, sideOf } from '../../../../shared/harm/rate.ts';
import { HARM_KINDS } from '../../../../shared/harm/scale.ts';
import { LIMITS } from './story.ts';

const HOUR_MS = 3_600_000;

/** The harm of a straight line over some hours. */
function doseOf(limit: HarmLimit, values: readonly number[], hours: number): number {
  const stepMs = (hours * HOUR_MS) / (values.length - 1);
  const segments = segmentsOf(
    probeRecord({
      timesMs: values.map((_, i) => i * stepMs),
      values: [...values],
    }),
    { maxGapMs: 100 * HOUR_MS },
  );
  const window = { fromMs: 0, toMs: hours * HOUR_MS };
  return doseOver(segments, [{ ...window, limit }], window);
}

describe('harm of cases worked by hand', () => {
  it.each([
    // 4 / (6 · 2^(−4.3/2.5)) = 2.1962
    { of: 'air-over-ceiling', values: [31, 31], hours: 4, harm: 2.1962 },
    // at the ceiling itself nothing; just beyond it a sixth an hour
    { of: 'air-over-ceiling', values: [26.7, 26.7], hours: 6, harm: 0 },
    // from 26.7 to 31.7 in an hour: (1/6) · (2^2 − 1) / (2 ln 2) = 0.36067
    { of: 'air-over-ceiling', values: [26.7, 31.7], hours: 1, harm: 0.36067 },
    // half of two hours beyond, from 0 to 5 K: the same
    { of: 'air-over-ceiling', values: [21.7, 31.7], hours: 2, harm: 0.36067 },
    // 2 h at 32 under 30: 2 / 4 · 2 = 1
    { of: 'root-zone-over-ceiling', values: [32, 32], hours: 2, harm: 1 },
    // 4 °C for 3 h under 10: 3 / 12 · 2^(6/3) = 1
    { of: 'air-far-too-cold', values: [4, 4], hours: 3, harm: 1 },
    // half an hour of frost
    { of: 'air-far-too-cold', values: [-2, -2], hours: 0.5, harm: 1 },
    // 10 h at 16 under 21: half the rate lost, 10 · 0.5 / 24
    { of: 'root-zone-below-band', values: [16, 16], hours: 10, harm: 0.20833 },
    // 24 h at 5 under 21: all of it lost, a day and no more
    { of: 'root-zone-below-band', values: [5, 5], hours: 24, harm: 1 },
    // 14 under 18 for 12 h: 12 · (2 − 1) / 48
    { of: 'air-below-band', values: [14, 14], hours: 12, harm: 0.25 },
    // below 10 it is counted as far too cold instead
    { of: 'air-below-band', values: [9, 9], hours: 12, harm: 0 },
    // 0.9 kPa over 0.5 for 2 h: (2 − 1) / 2 · 2
    { of: 'vpd-above-band', values: [0.9, 0.9], hours: 2, harm: 1 },
  ] as const)('$of: $values over $hours h is $harm', ({ of, values, hours, harm }) => {
    expect(doseOf(LIMITS[of], values, hours)).toBeCloseTo(harm, 4);
  });
});

describe('harm along straight lines', () => {
  const ends = fc.double({ min: -20, max: 50, noNaN: true });

  it('equals fine quadrature of its rate to 1 in 10 000', () => {
    fc.assert(
      fc.property(fc.constantFrom(...HARM_KINDS), ends, ends, (kind, from, to) => {
        const scale = kind === 'vpd-above-band' ? 0.05 : 1;
        const limit = LIMITS[kind];
        const steps = 20_000;
        let sum = 0;
        for (let i = 0; i < steps; i++) {
          sum += rateAt(limit, scale * (from + ((to - from) * (i + 0.5)) / steps)) / steps;
        }
        const exact = doseOf(limit, [scale * from, scale * to], 1);
        expect(Math.abs(exact - sum)).toBeLessThanOrEqual(1e-4 * Math.max(sum, 1) + 2e-4);
      }),
      { numRuns: 60 },
    );
  });

  it('is the same wherever the line is cut, and however it is run through', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...HARM_KINDS),
        ends,
        ends,
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        (kind, from, to, share) => {
          const limit = LIMITS[kind];
          const middle = from + share * (to - from);
          const whole = doseOf(limit, [from, to], 1);
          const parts = doseOf(limit, [from, middle], share) + doseOf(limit, [middle, to], 1 - share);
          expect(parts).toBeCloseTo(whole, 6 - Math.ceil(Math.log10(Math.max(whole, 1))));
          expect(doseOf(limit, [to, from], 1)).toBeCloseTo(
            whole,
            9 - Math.ceil(Math.log10(Math.max(whole, 1))),
          );
        },
      ),
    );
  });

  it('never falls while the value moves further beyond its limit', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...HARM_KINDS),
        ends,
        fc.double({ min: 0, max: 10, noNaN: true }),
        (kind, x, more) => {
          // a colder air may be counted as far too cold instead
          fc.pre(kind !== 'air-below-band');
          const { mean } = harmRate(LIMITS[kind]);
          const far = Math.abs(x);
          expect(mean(far + more, far + more)).toBeGreaterThanOrEqual(mean(far, far));
          expect([1, -1]).toContain(sideOf(kind));
        },
      ),
    );
  });
});

describe('a limit that moves', () => {
  it('is followed along its straight line', () => {
    const window = { fromMs: 0, toMs: HOUR_MS };
    const steady = segmentsOf(probeRecord({ timesMs: [0, HOUR_MS], values: [31.7, 31.7] }), {
      maxGapMs: HOUR_MS,
    });
    const moving = doseOver(
      steady,
      [{ ...window, limit: { kind: 'air-over-ceiling', limit: 31.7 }, limitAtEnd: 26.7 }],
      window,
    );
    expect(moving).toBeCloseTo(0.36067, 4);
  });
});
