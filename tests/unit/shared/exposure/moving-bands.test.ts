import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type BandPiece, bandsOf, edgesAt } from '../../../../shared/exposure/bands.ts';
import { segmentsOf } from '../../../../shared/exposure/coverage.ts';
import { bandExposure, excessOver } from '../../../../shared/exposure/integrate.ts';
import { joined, recordArbitrary } from './arbitraries.ts';
import { BASE_MS, HOUR_MS, hours, MINUTE_MS, segmentsFrom } from './support.ts';

/** A band from 20–25 to 10–15 over the two hours from 1 to 3. */
const PIECES: readonly BandPiece[] = [
  { ...hours(0, 1), low: 20, high: 25 },
  {
    ...hours(1, 3),
    ...{ low: 20, high: 25 },
    course: { sinceMs: BASE_MS + HOUR_MS, overMs: 2 * HOUR_MS, to: { low: 10, high: 15 } },
  },
  { ...hours(3, 4), low: 10, high: 15 },
];

describe('a band that falls from 20–25 to 10–15 °C from 1 to 3 h, 5 K an hour', () => {
  const exposed = (segments: ReturnType<typeof segmentsFrom>, from: number, to: number) =>
    bandExposure(segments, PIECES, hours(from, to));

  test('air that stays at 18 °C is 1.4 h below, then an hour within and 1.6 h above: 2.4 and 3.9 °C·h', () => {
    // by hand: low meets 18 at 1.4 h, high meets it at 2.4 h; below 2 + 0.4·2/2, above 0.6·3/2 + 1·3
    expect(exposed(segmentsFrom([0, 18, 4, 18]), 0, 4)).toMatchObject({
      hoursBelow: expect.closeTo(1.4, 12),
      hoursWithin: expect.closeTo(1, 12),
      hoursAbove: expect.closeTo(1.6, 12),
      unitHoursBelow: expect.closeTo(2.4, 12),
      unitHoursAbove: expect.closeTo(3.9, 12),
    });
  });

  test('air that falls with it, from 22 to 12 °C, is within throughout; against a band that jumped it is 1.4 h above', () => {
    const falling = segmentsFrom([1, 22, 3, 12]);
    expect(exposed(falling, 1, 3)).toMatchObject({ hoursWithin: 2, hoursBelow: 0, hoursAbove: 0 });
    const jumps = [{ ...hours(1, 3), low: 10, high: 15 }];
    // by hand: 22 to 15 at 5 K an hour is 1.4 h of 7 K falling to 0
    expect(bandExposure(falling, jumps, hours(1, 3))).toMatchObject({
      hoursAbove: expect.closeTo(1.4, 12),
      unitHoursAbove: expect.closeTo(4.9, 12),
    });
  });

  test('air from 18 to 12 °C over the fall crosses its low edge at half: 1 h and 1 °C·h below', () => {
    // by hand: 2 K below at 1 h, 2 K above at 3 h
    expect(exposed(segmentsFrom([1, 18, 3, 12]), 1, 3)).toMatchObject({
      hoursBelow: 1,
      hoursWithin: 1,
      unitHoursBelow: 1,
    });
  });

  test('a reading on the edge all the way is within', () => {
    expect(exposed(segmentsFrom([1, 25, 3, 15]), 1, 3)).toMatchObject({ hoursWithin: 2, unitHoursAbove: 0 });
  });

  test('a limit alone moves too: 20 °C against one from 25 to 15 over 2 h is over it for 1 h, 2.5 °C·h', () => {
    const limits = [{ ...hours(0, 2), limit: 25, toLimit: 15 }];
    expect(excessOver(segmentsFrom([0, 20, 2, 20]), limits, hours(0, 2))).toMatchObject({
      hoursOver: 1,
      unitHoursOver: 2.5,
    });
  });

  test('a course that its piece leaves, that turns the band over or gives it an edge is refused', () => {
    const [, moving] = PIECES as [BandPiece, BandPiece];
    const course = moving.course as NonNullable<BandPiece['course']>;
    const refused = (change: Partial<BandPiece>) =>
      expect(() => bandsOf([{ ...moving, ...change }], hours(1, 3))).toThrow(RangeError);
    refused({ course: { ...course, overMs: HOUR_MS } });
    refused({ course: { ...course, sinceMs: BASE_MS + 2 * HOUR_MS } });
    refused({ course: { ...course, to: { low: 30, high: 15 } } });
    refused({ course: { ...course, to: { low: null, high: 15 } } });
  });
});

describe('for 200 random records against bands that move twice', () => {
  const edge = fc.integer({ min: 10, max: 30 });
  const band = fc.tuple(edge, edge).map(([a, b]) => ({ low: Math.min(a, b), high: Math.max(a, b) }));
  const question = fc
    .record({
      bands: fc.tuple(band, band, band),
      first: fc.integer({ min: 10, max: 80 }),
      over: fc.integer({ min: 1, max: 40 }),
      to: fc.integer({ min: 120, max: 240 }),
    })
    .map(({ bands: [a, b, c], first, over, to }) => {
      const at = (minute: number) => BASE_MS + minute * MINUTE_MS;
      const overMs = over * MINUTE_MS;
      const moving = (from: typeof a, towards: typeof a, minute: number): BandPiece => ({
        ...{ fromMs: at(minute), toMs: at(minute + over), ...from },
        course: { sinceMs: at(minute), overMs, to: towards },
      });
      const pieces: BandPiece[] = [
        { fromMs: BASE_MS, toMs: at(first), ...a },
        moving(a, b, first),
        moving(b, c, first + over),
        { fromMs: at(first + 2 * over), toMs: at(400), ...c },
      ];
      return { pieces, window: { fromMs: BASE_MS, toMs: at(to) } };
    });

  test('hours and degree-hours agree with a sum over steps of 100 ms, to 0.001', () => {
    fc.assert(
      fc.property(recordArbitrary, question, (record, { pieces, window }) => {
        const segments = segmentsOf(record, joined);
        const exact = bandExposure(segments, pieces, window);
        const stepped = steppedExposure(segments, bandsOf(pieces, window), window);
        expect(Math.abs(exact.hoursBelow - stepped.hoursBelow)).toBeLessThan(1e-3);
        expect(Math.abs(exact.hoursAbove - stepped.hoursAbove)).toBeLessThan(1e-3);
        expect(Math.abs(exact.unitHoursBelow - stepped.unitHoursBelow)).toBeLessThan(1e-3);
        expect(Math.abs(exact.unitHoursAbove - stepped.unitHoursAbove)).toBeLessThan(1e-3);
        const sum = exact.hoursBelow + exact.hoursWithin + exact.hoursAbove;
        expect(Math.abs(sum - exact.coveredHours)).toBeLessThanOrEqual(1e-9);
      }),
      { numRuns: 200 },
    );
  });
});

type Segments = ReturnType<typeof segmentsOf>;

/** The same by brute force: the middle of each 100 ms is looked at. */
function steppedExposure(
  segments: Segments,
  bands: ReturnType<typeof bandsOf>,
  window: { fromMs: number; toMs: number },
) {
  const STEP_MS = 100;
  const sums = { hoursBelow: 0, hoursAbove: 0, unitHoursBelow: 0, unitHoursAbove: 0 };
  for (let i = 0; i < segments.count; i += 1) {
    const [start, end] = [segments.startMs[i] as number, segments.endMs[i] as number];
    const [from, to] = [segments.startValue[i] as number, segments.endValue[i] as number];
    let band = 0;
    for (let tMs = start + STEP_MS / 2; tMs < Math.min(end, window.toMs); tMs += STEP_MS) {
      while ((bands.endMs[band] as number) <= tMs) band += 1;
      const value = from + ((to - from) * (tMs - start)) / (end - start);
      const { low, high } = edgesAt(bands, band, tMs);
      const h = STEP_MS / HOUR_MS;
      if (value < low) sums.hoursBelow += h;
      if (value > high) sums.hoursAbove += h;
      sums.unitHoursBelow += Math.max(0, low - value) * h;
      sums.unitHoursAbove += Math.max(0, value - high) * h;
    }
  }
  return sums;
}
