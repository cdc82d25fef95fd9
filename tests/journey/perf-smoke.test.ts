import { expect, test } from 'vitest';
import { LIMIT_RULES } from '../../shared/rules/ids.ts';
import { type Figure, lineOf } from '../perf/figure.ts';
import { measure } from '../perf/measure.ts';
import { TINY } from '../perf/sizes.ts';

/** What is measured, and how many figures each gives. */
const MEASURED: readonly (readonly [string, number])[] = [
  ['embedded broker, ', 4],
  ['outside broker, ', 2],
  ['publish to page, ', 4],
  ['publish to call, ', 6],
  ['exposures of 1 place over ', 2],
  ['start to ready ', 1],
  ['resident memory after ', 1],
  ['climate, ', 4],
  ['exposure of ', 1],
  ['0.1 h of 20 probes at 10 s, ', 9],
  ['sealing an hour of 20 probes at 10 s, ', 5],
  ['40 probes at 10 s over ', 4],
  ['2 days at 10 s, ', 24],
  ['backup of 1 MB, ', 3],
  ['restore of 1 MB, ', 3],
  ['2 days of a place of 7 probes at ', 4 * LIMIT_RULES.length],
  ['forecasts of a place ', 4],
  ['page', 9],
  ['night of 2 benches, ', 3],
  ['sheets of 2 benches, ', 3],
  ['0.05 min at 40 readings/s with 2 pages, ', 8],
];

test('with the smallest sizes every measurement of npm run perf gives its figures, 20 kinds of them', async () => {
  const figures: Figure[] = [];
  for await (const figure of measure(TINY)) figures.push(figure);
  const counted = MEASURED.map(([start]) => [
    start,
    figures.filter(({ name }) => name.startsWith(start)).length,
  ]);
  expect(counted).toEqual(MEASURED);
  for (const figure of figures) {
    expect(figure.value, figure.name).toBeGreaterThan(0);
    expect(figure.value, figure.name).toBeLessThan(Number.POSITIVE_INFINITY);
    expect(lineOf(figure)).toContain(figure.unit);
  }
}, 480_000);
