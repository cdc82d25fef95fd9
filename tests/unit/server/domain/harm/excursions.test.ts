import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { targetSpans } from '../../../../../server/domain/calendar/spans.ts';
import { excursionsIn } from '../../../../../server/domain/harm/excursions.ts';
import { gapsIn } from '../../../../../server/domain/harm/gaps.ts';
import { harmIn } from '../../../../../server/domain/harm/harm-in.ts';
import { segmentsOf } from '../../../../../shared/exposure/coverage.ts';
import { probeRecord, type Segments } from '../../../../../shared/exposure/series.ts';
import { HARM_KINDS } from '../../../../../shared/harm/scale.ts';
import type { Targets } from '../../../../../shared/model/targets.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const NOON_MS = Date.UTC(2026, 2, 5, 12);

const TARGETS: Targets = {
  dayStart: '06:00',
  nightStart: '20:00',
  rootZone: { day: { lowC: 21, highC: 26 }, night: { lowC: 21, highC: 26 } },
  air: { day: { lowC: 18, highC: 25 }, night: { lowC: 13, highC: 18 }, ceilingC: 26.7 },
  vpd: { lowKpa: 0.1, highKpa: 0.5 },
  saturation: { relativeHumidityPct: 97 },
};

const NOTHING: Segments = segmentsOf(probeRecord({ timesMs: [], values: [] }), { maxGapMs: HOUR_MS });

function line(startMs: number, stepMin: number, values: readonly number[]): Segments {
  const timesMs = values.map((_, i) => startMs + i * stepMin * MINUTE_MS);
  return segmentsOf(probeRecord({ timesMs, values: [...values] }), { maxGapMs: 15 * MINUTE_MS });
}

function found(air: Segments, window: { fromMs: number; toMs: number }, targets = TARGETS) {
  const spans = targetSpans({ history: [{ fromMs: 0, targets }], ...window, zone: 'UTC' });
  const curves = { air, rootZone: NOTHING, vpd: NOTHING };
  return {
    excursions: excursionsIn(curves, { spans, window }),
    harm: harmIn(curves, { piece: window, spans }),
  };
}

describe('excursions', () => {
  it('run between exact crossings: 24 to 29.4 °C and back in 2 × 10 min pass 26.7 after 5 and before 15 min', () => {
    const window = { fromMs: NOON_MS, toMs: NOON_MS + HOUR_MS };
    const { excursions } = found(line(NOON_MS, 10, [24, 29.4, 24, 24]), window);
    expect(excursions).toHaveLength(1);
    expect(excursions[0]).toMatchObject({ kind: 'air-over-ceiling', peak: 29.4, goesOn: false });
    expect(excursions[0]?.fromMs).toBeCloseTo(NOON_MS + 5 * MINUTE_MS, 0);
    expect(excursions[0]?.toMs).toBeCloseTo(NOON_MS + 15 * MINUTE_MS, 0);
    // a triangle of 2.7 K over 10 min
    expect(excursions[0]?.dose).toBeCloseTo((2.7 * (10 / 60)) / 2, 9);
  });

  it('a sheet sets its own constants: 4 h at 31 °C under 26.7 are 2.196 with 6 h, and half of it with 12 h', () => {
    const window = { fromMs: NOON_MS, toMs: NOON_MS + 4 * HOUR_MS };
    const hot = line(NOON_MS, 10, Array<number>(25).fill(31));
    // 4 / (6 · 2^(−4.3/2.5))
    expect(found(hot, window).harm['air-over-ceiling']).toBeCloseTo(2.1962, 4);
    const harm = { 'air-over-ceiling': { tolerableHours: 12, step: 2.5 } };
    const bySheet = found(hot, window, { ...TARGETS, harm });
    expect(bySheet.harm['air-over-ceiling']).toBeCloseTo(1.0981, 4);
    expect(bySheet.excursions[0]?.harm).toBeCloseTo(1.0981, 4);
  });

  it('a gap ends one, and what lasts to the newest reading goes on', () => {
    const window = { fromMs: NOON_MS, toMs: NOON_MS + 2 * HOUR_MS };
    const timesMs = [0, 10, 60, 70].map((min) => NOON_MS + min * MINUTE_MS);
    const air = segmentsOf(probeRecord({ timesMs, values: [30, 30, 30, 30] }), { maxGapMs: 15 * MINUTE_MS });
    expect(
      found(air, window).excursions.map(({ toMs, goesOn }) => [(toMs - NOON_MS) / MINUTE_MS, goesOn]),
    ).toEqual([
      [10, false],
      [70, true],
    ]);
    expect(gapsIn(air, window)).toEqual([
      { fromMs: NOON_MS + 10 * MINUTE_MS, toMs: NOON_MS + 60 * MINUTE_MS },
    ]);
  });

  it('air at 8 °C is far too cold, and not below its band too', () => {
    const window = { fromMs: NOON_MS, toMs: NOON_MS + HOUR_MS };
    const { excursions, harm } = found(line(NOON_MS, 10, [20, 8, 8, 20]), window);
    expect(excursions.map(({ kind }) => kind)).toEqual([
      'air-below-band',
      'air-far-too-cold',
      'air-below-band',
    ]);
    expect(harm['air-far-too-cold']).toBeGreaterThan(0);
  });

  it('air at 11 °C for the 90 min in which its band moves from 13 to 18 °C is 0.039 of harm, as by the band of each moment', () => {
    const dawnMs = Date.UTC(2026, 2, 5, 6);
    const window = { fromMs: dawnMs, toMs: dawnMs + 1.5 * HOUR_MS };
    const { excursions, harm } = found(line(dawnMs, 10, Array(10).fill(11)), window, {
      ...TARGETS,
      rampMin: 90,
    });
    // 1.5 h of (2^(x / 4) − 1) / 48 with x from 2 to 7 K: the mean of 2^(x / 4) is 4 / (5 ln 2) · (2^1.75 − 2^0.5) = 2.2498
    expect(harm['air-below-band']).toBeCloseTo((1.5 * (2.2498 - 1)) / 48, 5);
    expect(excursions).toMatchObject([{ kind: 'air-below-band', furthest: 7 }]);
  });

  it('air at 8 °C while its band comes down from 18 to 13 °C is far too cold, and not below its band too', () => {
    const duskMs = Date.UTC(2026, 2, 5, 20);
    const window = { fromMs: duskMs, toMs: duskMs + 1.5 * HOUR_MS };
    const { excursions, harm } = found(line(duskMs, 10, Array(10).fill(8)), window, {
      ...TARGETS,
      rampMin: 90,
    });
    expect(excursions.map(({ kind }) => kind)).toEqual(['air-far-too-cold']);
    expect(harm['air-below-band']).toBe(0);
  });

  it('their harm adds up to the harm of the window, kind by kind, also where bands move', () => {
    const values = fc.array(fc.integer({ min: -8, max: 180 }), { minLength: 2, maxLength: 40 });
    fc.assert(
      fc.property(
        values,
        fc.integer({ min: 0, max: 24 }),
        fc.constantFrom(0, 90),
        (quarters, hour, rampMin) => {
          const startMs = NOON_MS + hour * HOUR_MS;
          const window = { fromMs: startMs + 3 * MINUTE_MS, toMs: startMs + 5 * HOUR_MS };
          const air = line(
            startMs,
            7,
            quarters.map((quarter) => quarter / 4),
          );
          const { excursions, harm } = found(air, window, { ...TARGETS, rampMin });
          for (const kind of HARM_KINDS) {
            const sum = excursions.reduce((total, one) => (one.kind === kind ? total + one.harm : total), 0);
            expect(Math.abs(sum - harm[kind])).toBeLessThanOrEqual(1e-6 * Math.max(1, harm[kind]));
          }
          for (const { fromMs, toMs } of excursions) expect(toMs).toBeGreaterThan(fromMs);
        },
      ),
    );
  });
});
