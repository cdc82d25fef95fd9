import { expect, test } from 'vitest';
import type { LimitSpan } from '../../../../web/bench/trace.ts';
import { commonGaps, domainOf, extremesOf, spansInView, spreadLabels } from '../../../../web/common/plot.ts';

const BAND: LimitSpan = { fromMs: 0, toMs: 100, night: false, low: 21, high: 25, ceiling: null };
const run = (...values: number[]) => values.map((value, tMs) => ({ tMs, value, min: value, max: value }));

test('the drawing holds the band 21…25 and a reading of 31, with a margin of 12 % of 10 on both sides', () => {
  const domain = domainOf([run(22, 31)], [BAND], 4);
  expect(domain.low).toBeCloseTo(21 - 1.2, 9);
  expect(domain.high).toBeCloseTo(31 + 1.2, 9);
});

test('a steady 23 without a band is drawn over no less than 4', () => {
  expect(domainOf([run(23, 23)], [], 4)).toEqual({ low: 21, high: 25 });
});

test('a ceiling of 26 near the band is drawn, one of 40 far off would flatten all else and is not', () => {
  const highWith = (ceiling: number) => domainOf([run(22)], [{ ...BAND, ceiling }], 4).high;
  expect(highWith(26)).toBeGreaterThan(26);
  expect(highWith(40)).toBeLessThan(40);
});

test('nothing read and no band still gives a drawing of the least range', () => {
  expect(domainOf([], [], 4)).toEqual({ low: 0, high: 4 });
});

test('of spans 0…100 and 100…200 a view of 50…80 keeps the first, cut to 50…80', () => {
  const spans = spansInView([BAND, { ...BAND, fromMs: 100, toMs: 200 }], { fromMs: 50, toMs: 80 });
  expect(spans.map(({ fromMs, toMs }) => [fromMs, toMs])).toEqual([[50, 80]]);
});

test('gaps 0…10 and 5…20 have 5…10 in common; 0…10 and 10…20 nothing', () => {
  expect(commonGaps([{ fromMs: 0, toMs: 10 }], [{ fromMs: 5, toMs: 20 }])).toEqual([{ fromMs: 5, toMs: 10 }]);
  expect(commonGaps([{ fromMs: 0, toMs: 10 }], [{ fromMs: 10, toMs: 20 }])).toEqual([]);
});

test('the extremes of 22, 31 and 19 are 19 and 31; of nothing there are none', () => {
  expect(extremesOf([run(22, 31), run(19)])).toEqual({ low: 19, high: 31 });
  expect(extremesOf([])).toBeNull();
});

test('labels at 10 and 12 px are moved 13 px apart, those at 10 and 60 stay', () => {
  expect(spreadLabels([10, 12], 13)).toEqual([10, 23]);
  expect(spreadLabels([60, 10], 13)).toEqual([60, 10]);
});
