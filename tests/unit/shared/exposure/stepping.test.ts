import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { segmentsOf } from '../../../../shared/exposure/coverage.ts';
import { derivedCurve } from '../../../../shared/exposure/derive.ts';
import type { BandExposure } from '../../../../shared/exposure/integrate.ts';
import { medianCurve } from '../../../../shared/exposure/median.ts';
import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import { ask, joined, type Question, questionArbitrary, recordArbitrary } from './arbitraries.ts';
import { HOUR_MS, MINUTE_MS } from './support.ts';

const STEP_MS = 5000;
const VALUE_SPAN = 30;

/** The value of one probe at a moment, from its readings alone. */
function probeValueAt({ timesMs, values }: ProbeRecord, atMs: number): number | null {
  const next = timesMs.findIndex((timeMs) => timeMs > atMs);
  if (next < 1) return null;
  const t0 = timesMs[next - 1] ?? Number.NaN;
  const t1 = timesMs[next] ?? Number.NaN;
  if (t1 - t0 > joined.maxGapMs) return null;
  const v0 = values[next - 1] ?? Number.NaN;
  return v0 + (((values[next] ?? Number.NaN) - v0) * (atMs - t0)) / (t1 - t0);
}

/** The same exposure by stepping: each 5 s counts whole for what holds in its middle. */
function stepped(valueAt: (atMs: number) => number | null, { pieces, window }: Question) {
  const sums = { covered: 0, below: 0, within: 0, above: 0, unitBelow: 0, unitAbove: 0, area: 0 };
  for (let atMs = window.fromMs + STEP_MS / 2; atMs < window.toMs; atMs += STEP_MS) {
    const value = valueAt(atMs);
    const band = pieces.find(({ fromMs, toMs }) => fromMs <= atMs && atMs < toMs);
    if (value === null || band === undefined) continue;
    sums.covered++;
    sums.area += value;
    if (value < band.low) {
      sums.below++;
      sums.unitBelow += band.low - value;
    } else if (value > band.high) {
      sums.above++;
      sums.unitAbove += value - band.high;
    } else sums.within++;
  }
  const asHours = (steps: number) => (steps * STEP_MS) / HOUR_MS;
  return {
    coveredHours: asHours(sums.covered),
    hoursBelow: asHours(sums.below),
    hoursWithin: asHours(sums.within),
    hoursAbove: asHours(sums.above),
    unitHoursBelow: asHours(sums.unitBelow),
    unitHoursAbove: asHours(sums.unitAbove),
    unitHours: asHours(sums.area),
  };
}

/*
 * How far stepping may be off. Readings, band switches and windows lie on step edges, so a step is wrong only where
 * a piece bends or meets a limit inside it: at most 2 limits a piece. Hours are then off by half a step or less,
 * areas by slope × step² / 8 or less (at most 30 K in 60 s, twice that where two slopes meet at a bend).
 */
function expectNear(actual: BandExposure, reference: ReturnType<typeof stepped>, pieces: number) {
  const stepHours = STEP_MS / HOUR_MS;
  const hoursOff = pieces * 2 * (stepHours / 2) + 1e-9;
  const areaOff = (pieces * 2 * 2 * VALUE_SPAN * (STEP_MS / MINUTE_MS) * stepHours) / 8 + 1e-9;
  const off = (name: 'hoursBelow' | 'hoursWithin' | 'hoursAbove' | 'unitHoursBelow' | 'unitHoursAbove') =>
    Math.abs(actual[name] - reference[name]);
  expect(Math.abs(actual.coveredHours - reference.coveredHours)).toBeLessThanOrEqual(1e-9);
  expect(off('hoursBelow')).toBeLessThanOrEqual(hoursOff);
  expect(off('hoursAbove')).toBeLessThanOrEqual(hoursOff);
  expect(off('hoursWithin')).toBeLessThanOrEqual(2 * hoursOff);
  expect(off('unitHoursBelow')).toBeLessThanOrEqual(areaOff);
  expect(off('unitHoursAbove')).toBeLessThanOrEqual(areaOff);
  expect(Math.abs((actual.mean ?? 0) * actual.coveredHours - reference.unitHours)).toBeLessThanOrEqual(
    areaOff,
  );
}

describe('stepping through in 5 s steps finds the same', () => {
  test('for one probe with gaps, over 100 random series of up to 12 readings', () => {
    fc.assert(
      fc.property(recordArbitrary, questionArbitrary, (record, question) => {
        const actual = ask(segmentsOf(record, joined), question);
        expectNear(
          actual,
          stepped((atMs) => probeValueAt(record, atMs), question),
          record.timesMs.length + 2,
        );
      }),
    );
  });

  test('for the median of 1 to 5 probes, over 60 random sets', () => {
    fc.assert(
      fc.property(
        fc.array(recordArbitrary, { minLength: 1, maxLength: 5 }),
        questionArbitrary,
        (records, question) => {
          const middle = (atMs: number) => {
            const known = records
              .map((record) => probeValueAt(record, atMs))
              .filter((value) => value !== null);
            known.sort((a, b) => a - b);
            const half = known.length / 2;
            const pair = [known[Math.ceil(half) - 1], known[Math.floor(half)]];
            return known.length === 0 ? null : ((pair[0] ?? Number.NaN) + (pair[1] ?? Number.NaN)) / 2;
          };
          const { segments } = medianCurve(records, joined);
          expectNear(ask(segments, question), stepped(middle, question), segments.count + 2);
        },
      ),
      { numRuns: 60 },
    );
  });

  test('for a quantity computed from two probes read at different times, over 60 random pairs', () => {
    fc.assert(
      fc.property(recordArbitrary, recordArbitrary, questionArbitrary, (t, rh, question) => {
        const f = (air: { t: number; rh: number }) => (air.t * (100 - air.rh)) / 100;
        const both = [...new Set([...t.timesMs, ...rh.timesMs])].sort((a, b) => a - b);
        const edge = (record: ProbeRecord, atMs: number, insideMs: number) => {
          const exact = record.timesMs.indexOf(atMs);
          return probeValueAt(record, insideMs) === null || exact < 0
            ? probeValueAt(record, atMs)
            : record.values[exact];
        };
        const computed = (atMs: number) => {
          if (probeValueAt(t, atMs) === null || probeValueAt(rh, atMs) === null) return null;
          const next = both.findIndex((timeMs) => timeMs > atMs);
          const [t0, t1] = [both[next - 1] ?? Number.NaN, both[next] ?? Number.NaN];
          const at = (edgeMs: number) =>
            f({ t: edge(t, edgeMs, atMs) ?? Number.NaN, rh: edge(rh, edgeMs, atMs) ?? Number.NaN });
          return at(t0) + ((at(t1) - at(t0)) * (atMs - t0)) / (t1 - t0);
        };
        const { segments } = derivedCurve({ inputs: { t: [t], rh: [rh] }, ...joined, f });
        expectNear(ask(segments, question), stepped(computed, question), segments.count + 2);
      }),
      { numRuns: 60 },
    );
  });
});
