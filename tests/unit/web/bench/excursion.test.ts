import { expect, test } from 'vitest';
import { excursionsOf } from '../../../../web/bench/excursion.ts';
import type { LimitSpan, PlotPoint } from '../../../../web/bench/trace.ts';

const limits = (fromMs: number, toMs: number, low: number, high: number): LimitSpan => ({
  fromMs,
  toMs,
  low,
  high,
  night: false,
  ceiling: null,
});
const point = (tMs: number, value: number): PlotPoint => ({ tMs, value, min: value, max: value });

// The contract's own example: from 24 to 28 °C over 2 h, against 25 °C, is above from a quarter of the way on.
test('24 to 28 over 2 h against 25 leaves the band after half an hour', () => {
  const [excursion] = excursionsOf([point(0, 24), point(120, 28)], [limits(0, 120, 20, 25)], 'above');
  expect(excursion).toEqual({
    limits: [
      { tMs: 30, value: 25 },
      { tMs: 120, value: 25 },
    ],
    points: [
      { tMs: 30, value: 25 },
      { tMs: 120, value: 28 },
    ],
  });
});

test('a dip from 22 through 20 to 22 below 21 is one area that starts and ends on the limit', () => {
  const run = [point(0, 22), point(10, 20), point(20, 22)];
  expect(excursionsOf(run, [limits(0, 20, 21, 25)], 'below')).toEqual([
    {
      limits: [5, 10, 15].map((tMs) => ({ tMs, value: 21 })),
      points: [
        { tMs: 5, value: 21 },
        { tMs: 10, value: 20 },
        { tMs: 15, value: 21 },
      ],
    },
  ]);
});

test('a spike that only the highest value of a point holds, 27 over a mean of 24, is drawn', () => {
  const run = [point(0, 24), { tMs: 10, value: 24, min: 23, max: 27 }, point(20, 24)];
  expect(excursionsOf(run, [limits(0, 20, 20, 25)], 'above')).toHaveLength(1);
});

test('within the band there is no area, and on the limit neither', () => {
  expect(excursionsOf([point(0, 21), point(10, 25)], [limits(0, 10, 21, 25)], 'above')).toEqual([]);
  expect(excursionsOf([point(0, 21), point(10, 25)], [limits(0, 10, 21, 25)], 'below')).toEqual([]);
});

test('a night and a day with one limit of 21 do not cut an excursion in two', () => {
  const run = [point(0, 20), point(20, 20)];
  const spans = [limits(0, 10, 21, 25), limits(10, 20, 21, 25)];
  expect(excursionsOf(run, spans, 'below')).toHaveLength(1);
});

test('when the upper limit goes from 25 to 18 at 10, a steady 20 is above from exactly there', () => {
  const spans = [limits(0, 10, 15, 25), limits(10, 20, 13, 18)];
  const [excursion] = excursionsOf([point(0, 20), point(20, 20)], spans, 'above');
  expect(excursion?.points.map(({ tMs }) => tMs)).toEqual([10, 20]);
});

test('where the upper limit falls from 25 to 18 between 10 and 24, a steady 20 is above from 20 on, in one piece', () => {
  const falling = { ...limits(10, 24, 15, 25), end: { low: 13, high: 18 } };
  const spans = [limits(0, 10, 15, 25), falling, limits(24, 40, 13, 18)];
  // by hand: half a degree a minute from 25 down, so 20 after 10 minutes
  const found = excursionsOf([point(0, 20), point(40, 20)], spans, 'above');
  expect(found).toEqual([
    {
      points: [20, 24, 40].map((tMs) => ({ tMs, value: 20 })),
      limits: [
        { tMs: 20, value: 20 },
        { tMs: 24, value: 18 },
        { tMs: 40, value: 18 },
      ],
    },
  ]);
});

test('a trace that falls as fast as its band is nowhere outside', () => {
  const falling = { ...limits(0, 90, 21, 27), end: { low: 13, high: 18 } };
  for (const side of ['above', 'below'] as const)
    expect(excursionsOf([point(0, 24), point(90, 16)], [falling], side)).toEqual([]);
});

test('a run from 0 to 10 under a band of 2…4 alone is outside it with the values on the line, 2 and 4', () => {
  const [excursion] = excursionsOf([point(0, 0), point(10, 10)], [limits(2, 4, -1, 1)], 'above');
  expect(excursion?.points).toEqual([
    { tMs: 2, value: 2 },
    { tMs: 4, value: 4 },
  ]);
});
