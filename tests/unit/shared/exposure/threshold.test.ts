import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { segmentsOf } from '../../../../shared/exposure/coverage.ts';
import type { ProbeRecord, Segments, Window } from '../../../../shared/exposure/series.ts';
import { thresholdSpans } from '../../../../shared/exposure/threshold.ts';
import { joined, recordArbitrary } from './arbitraries.ts';
import { BASE_MS, HOUR_MS, hours, MINUTE_MS, segmentsFrom } from './support.ts';

/** Spans as [start hour, end hour, above] after BASE_MS. */
const written = (segments: Segments, threshold: number, window: Window) =>
  thresholdSpans(segments, threshold, window).map(({ fromMs, toMs, above }) => [
    (fromMs - BASE_MS) / HOUR_MS,
    (toMs - BASE_MS) / HOUR_MS,
    above,
  ]);

describe('24 to 28 °C over 2 h against 25 °C', () => {
  // by hand: (25 − 24) / (28 − 24) × 2 h = 0.5 h
  test('is below until 0:30 and above from there on', () => {
    expect(written(segmentsFrom([0, 24, 2, 28]), 25, hours(0, 2))).toEqual([
      [0, 0.5, false],
      [0.5, 2, true],
    ]);
  });

  test('and back over 2 h is above from 0:30 to 3:30, in 1 span', () => {
    expect(written(segmentsFrom([0, 24, 2, 28], [2, 28, 4, 24]), 25, hours(0, 4))).toEqual([
      [0, 0.5, false],
      [0.5, 3.5, true],
      [3.5, 4, false],
    ]);
  });

  test('is cut by a window from 0:15 to 1:00, and gives nothing in one that holds nothing', () => {
    const rise = segmentsFrom([0, 24, 2, 28]);
    expect(written(rise, 25, hours(0.25, 1))).toEqual([
      [0.25, 0.5, false],
      [0.5, 1, true],
    ]);
    expect(written(rise, 25, hours(2, 3))).toEqual([]);
    expect(written(rise, 25, hours(1, 1))).toEqual([]);
  });
});

test.each([
  ['25 °C all through, at the threshold', [0, 25, 2, 25], [[0, 2, true]]],
  ['24.999 °C all through', [0, 24.999, 2, 24.999], [[0, 2, false]]],
  ['24 up to 25 °C, reached at the very end', [0, 24, 2, 25], [[0, 2, false]]],
  ['26 down to 25 °C', [0, 26, 2, 25], [[0, 2, true]]],
  ['25 down to 24 °C, at the threshold for a moment only', [0, 25, 2, 24], [[0, 2, false]]],
] as const)('%s is one span', (_, piece, expected) => {
  expect(written(segmentsFrom(piece), 25, hours(0, 2))).toEqual(expected);
});

test('a gap from 1:00 to 2:00 is in no span, and 30 °C on both sides of it stays 2 spans', () => {
  expect(written(segmentsFrom([0, 30, 1, 30], [2, 30, 3, 30]), 25, hours(0, 3))).toEqual([
    [0, 1, true],
    [2, 3, true],
  ]);
});

test('a jump at 1:00 from 30 to 20 °C ends one span where the next begins', () => {
  expect(written(segmentsFrom([0, 30, 1, 30], [1, 20, 2, 20]), 25, hours(0, 2))).toEqual([
    [0, 1, true],
    [1, 2, false],
  ]);
});

test('a crossing inside a piece of 0.15 ms stays inside it, so that spans never overlap', () => {
  // where 3 probes cross each other, pieces meet between two ms
  const ms = (...times: number[]) => Float64Array.from(times, (time) => BASE_MS + time);
  const segments: Segments = {
    count: 3,
    startMs: ms(0, 100.25, 100.375),
    endMs: ms(100.25, 100.375, 200),
    startValue: Float64Array.of(24, 24, 26),
    endValue: Float64Array.of(24, 26, 26),
  };
  const spans = thresholdSpans(segments, 25, { fromMs: BASE_MS, toMs: BASE_MS + 200 });
  expect(spans.map(({ above }) => above)).toEqual([false, true]);
  expect(spans[0]?.toMs).toBe(spans[1]?.fromMs);
  expect([spans[0]?.fromMs, spans[1]?.toMs]).toEqual([BASE_MS, BASE_MS + 200]);
});

describe('for 200 random series', () => {
  /** The value at a time, found reading by reading; null in a gap. */
  const valueAt = ({ timesMs, values }: ProbeRecord, atMs: number) => {
    const next = timesMs.findIndex((timeMs) => timeMs > atMs);
    if (next < 1) return null;
    const [fromMs, toMs] = [timesMs[next - 1] ?? 0, timesMs[next] ?? 0];
    if (toMs - fromMs > joined.maxGapMs) return null;
    const [from, to] = [values[next - 1] ?? 0, values[next] ?? 0];
    return from + ((to - from) * (atMs - fromMs)) / (toMs - fromMs);
  };
  const whole = hours(0, 4);

  test('every 17 s the span that holds the moment says what the line says, and no span holds a gap', () => {
    fc.assert(
      fc.property(recordArbitrary, fc.integer({ min: 11, max: 39 }), (record, threshold) => {
        const spans = thresholdSpans(segmentsOf(record, joined), threshold, whole);
        for (let atMs = whole.fromMs + 1; atMs < whole.toMs; atMs += 17_000) {
          const value = valueAt(record, atMs);
          const held = spans.find(({ fromMs, toMs }) => fromMs <= atMs && atMs < toMs);
          if (value === null) expect(held).toBeUndefined();
          // crossings are whole ms: at the steepest, 30 K in 1 min, 2 ms are 0.001 K
          else if (Math.abs(value - threshold) > 0.001) expect(held?.above).toBe(value > threshold);
        }
      }),
      { numRuns: 200 },
    );
  });

  test('spans ascend, are as long as they can be, and together last the covered time', () => {
    fc.assert(
      fc.property(recordArbitrary, fc.integer({ min: 11, max: 39 }), (record, threshold) => {
        const segments = segmentsOf(record, joined);
        const spans = thresholdSpans(segments, threshold, whole);
        spans.forEach(({ fromMs, toMs, above }, i) => {
          expect(toMs).toBeGreaterThan(fromMs);
          const before = spans[i - 1];
          if (before) expect(fromMs).toBeGreaterThanOrEqual(before.toMs);
          if (before?.toMs === fromMs) expect(above).not.toBe(before.above);
        });
        const lasting = spans.reduce((sum, { fromMs, toMs }) => sum + toMs - fromMs, 0);
        const covered = Array.from({ length: segments.count }, (_, i) =>
          Math.max(0, Math.min(segments.endMs[i] ?? 0, whole.toMs) - (segments.startMs[i] ?? 0)),
        );
        // whole ms throughout: exact
        expect(lasting).toBe(covered.reduce((sum, length) => sum + length, 0));
      }),
      { numRuns: 200 },
    );
  });

  test('a window cut in two at any minute gives the spans of the whole, cut there', () => {
    fc.assert(
      fc.property(
        recordArbitrary,
        fc.integer({ min: 11, max: 39 }),
        fc.integer({ min: 1, max: 239 }),
        (record, threshold, minute) => {
          const segments = segmentsOf(record, joined);
          const cutMs = BASE_MS + minute * MINUTE_MS;
          const left = thresholdSpans(segments, threshold, { ...whole, toMs: cutMs });
          const right = thresholdSpans(segments, threshold, { ...whole, fromMs: cutMs });
          const cut = thresholdSpans(segments, threshold, whole).flatMap((span) =>
            span.fromMs < cutMs && cutMs < span.toMs
              ? [
                  { ...span, toMs: cutMs },
                  { ...span, fromMs: cutMs },
                ]
              : [span],
          );
          expect([...left, ...right]).toEqual(cut);
        },
      ),
      { numRuns: 200 },
    );
  });
});
