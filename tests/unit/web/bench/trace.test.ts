import { describe, expect, test } from 'vitest';
import {
  deviationOf,
  gapsOf,
  type LimitSpan,
  limitsAt,
  nearestPoint,
  runsOf,
  type TracePoint,
  withLive,
} from '../../../../web/bench/trace.ts';
import { MINUTE_MS } from '../examples.ts';

const QUARTER_MS = 15 * MINUTE_MS;
const DAY_SPAN: LimitSpan = {
  fromMs: 0,
  toMs: 1_000 * MINUTE_MS,
  night: false,
  low: 21,
  high: 25,
  ceiling: null,
};

/** Values every 5 minutes from 0; null is a gap. */
function every5Min(values: readonly (number | null)[]): TracePoint[] {
  return values.map((value, i) => ({ tMs: i * 5 * MINUTE_MS, value, min: value, max: value }));
}

describe('how long a trace is on one side of its band', () => {
  // Straight from 22 to 20 in 5 minutes: 21 is passed half way, 2.5 minutes after the point at 5 minutes.
  test('below since the crossing: 22 at 5 min, 20 at 10 min, band from 21, so since 7.5 min', () => {
    const deviation = deviationOf(every5Min([23, 22, 20, 19]), [DAY_SPAN], QUARTER_MS);
    expect(deviation).toEqual({ side: 'below', sinceMs: 7.5 * MINUTE_MS, wholeTrace: false });
  });

  test('back within since the crossing: 20 at 5 min, 22 at 10 min, so since 7.5 min', () => {
    const deviation = deviationOf(every5Min([20, 20, 22, 23]), [DAY_SPAN], QUARTER_MS);
    expect(deviation).toEqual({ side: 'within', sinceMs: 7.5 * MINUTE_MS, wholeTrace: false });
  });

  test('at 22 while the band falls from 21–25 to 11–15 over 40 min: above since 12 min', () => {
    const falling = { ...DAY_SPAN, toMs: 40 * MINUTE_MS, end: { low: 11, high: 15 } };
    // by hand: a quarter of a degree a minute from 25 down to 22
    expect(deviationOf(every5Min([22, 22, 22, 22]), [falling], QUARTER_MS)).toEqual({
      ...{ side: 'above', sinceMs: 12 * MINUTE_MS, wholeTrace: false },
    });
    expect(limitsAt([falling], 20 * MINUTE_MS)).toMatchObject({ low: 16, high: 20 });
  });

  test('within from the first of 4 points is the whole trace', () => {
    const deviation = deviationOf(every5Min([22, 22, 23, 22]), [DAY_SPAN], QUARTER_MS);
    expect(deviation).toEqual({ side: 'within', sinceMs: 0, wholeTrace: true });
  });

  test('a gap ends what is known: within since the first point after it, at 15 min, and not the whole trace', () => {
    const deviation = deviationOf(every5Min([22, 22, null, 22, 22]), [DAY_SPAN], QUARTER_MS);
    expect(deviation).toEqual({ side: 'within', sinceMs: 15 * MINUTE_MS, wholeTrace: false });
  });

  test('17 is below from the moment, at 8 min, when the band of the night gives way to that of the day', () => {
    const dawnMs = 8 * MINUTE_MS;
    const spans = [
      { ...DAY_SPAN, toMs: dawnMs, night: true, low: 13, high: 18 },
      { ...DAY_SPAN, fromMs: dawnMs },
    ];
    const deviation = deviationOf(every5Min([17, 17, 17, 17]), spans, QUARTER_MS);
    expect(deviation).toEqual({ side: 'below', sinceMs: dawnMs, wholeTrace: false });
  });

  test('without a value or without a band nothing is said', () => {
    expect(deviationOf([], [DAY_SPAN], QUARTER_MS)).toBeNull();
    expect(deviationOf(every5Min([22]), [], QUARTER_MS)).toBeNull();
  });
});

test('a value on a limit is within: 21 and 25 of 21…25', () => {
  const sideOf = (value: number) => deviationOf(every5Min([value]), [DAY_SPAN], QUARTER_MS)?.side;
  expect([20.9, 21, 25, 25.1].map(sideOf)).toEqual(['below', 'within', 'within', 'above']);
});

test('a span holds its start and not its end', () => {
  const next = { ...DAY_SPAN, fromMs: DAY_SPAN.toMs, toMs: 2 * DAY_SPAN.toMs };
  expect(limitsAt([DAY_SPAN, next], DAY_SPAN.toMs)).toBe(next);
  expect(limitsAt([DAY_SPAN, next], next.toMs)).toBeNull();
});

describe('stretches and gaps', () => {
  test('a null parts 5 points into stretches of 2 and 2, and 16 minutes without a word part as well', () => {
    expect(runsOf(every5Min([1, 2, null, 3, 4]), QUARTER_MS).map((run) => run.length)).toEqual([2, 2]);
    const late = { tMs: 16 * MINUTE_MS, value: 2, min: 2, max: 2 };
    expect(runsOf([...every5Min([1]), late], QUARTER_MS)).toHaveLength(2);
  });

  test('exactly 15 minutes apart is still one stretch', () => {
    const later = { tMs: QUARTER_MS, value: 2, min: 2, max: 2 };
    expect(runsOf([...every5Min([1]), later], QUARTER_MS)).toHaveLength(1);
  });

  test('gaps are what lies before, between and after, the end with 15 minutes of slack', () => {
    const runs = runsOf(every5Min([1, 1, null, null, 1, 1]), QUARTER_MS);
    const view = { fromMs: -60 * MINUTE_MS, toMs: 60 * MINUTE_MS, endSlackMs: QUARTER_MS };
    expect(gapsOf(runs, view).map((gap) => [gap.fromMs / MINUTE_MS, gap.toMs / MINUTE_MS])).toEqual([
      [-60, 0],
      [5, 20],
      [25, 60],
    ]);
    expect(gapsOf(runs, { ...view, fromMs: 0, toMs: 40 * MINUTE_MS })).toHaveLength(1);
  });
});

describe('a trace grows by live values', () => {
  const live = { maxGapMs: QUARTER_MS, keepFromMs: 0 };

  test('two values within half a minute share a point with their lowest and highest', () => {
    const first = withLive([], { ...live, atMs: 60_000, value: 22 });
    const second = withLive(first, { ...live, atMs: 70_000, value: 24 });
    expect(second).toEqual([{ tMs: 70_000, value: 24, min: 22, max: 24 }]);
  });

  test('a value older than the last, or as old, changes nothing', () => {
    const trace = every5Min([22, 23]);
    expect(withLive(trace, { ...live, atMs: 5 * MINUTE_MS, value: 30 })).toEqual(trace);
  });

  test('a value after 16 minutes of silence stands behind a gap', () => {
    const grown = withLive(every5Min([22]), { ...live, atMs: 16 * MINUTE_MS, value: 23 });
    expect(grown.map(({ value }) => value)).toEqual([22, null, 23]);
  });

  test('what is older than the window is dropped', () => {
    const window = { ...live, keepFromMs: 7 * MINUTE_MS };
    const grown = withLive(every5Min([20, 21, 22]), { ...window, atMs: 11 * MINUTE_MS, value: 23 });
    expect(grown.map(({ value }) => value)).toEqual([22, 23]);
  });

  test('10 minutes of values every second keep 20 points, 2 a minute', () => {
    let trace: TracePoint[] = [];
    for (let second = 0; second < 600; second++) {
      trace = withLive(trace, { ...live, atMs: second * 1_000, value: 22 });
    }
    expect(trace).toHaveLength(20);
  });
});

test('the nearest of points at 0, 5 and 10 minutes to 8 minutes is that at 10, and none reaches to 30', () => {
  const trace = every5Min([1, 2, 3]);
  expect(nearestPoint(trace, 8 * MINUTE_MS, 5 * MINUTE_MS)?.value).toBe(3);
  expect(nearestPoint(trace, 30 * MINUTE_MS, 5 * MINUTE_MS)).toBeNull();
});
