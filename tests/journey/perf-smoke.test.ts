import { expect, test } from 'vitest';
import { type Figure, lineOf } from '../perf/figure.ts';
import { measure } from '../perf/measure.ts';
import { TINY } from '../perf/sizes.ts';

test('with the smallest sizes every measurement of npm run perf gives its figures, 12 in all', async () => {
  const figures: Figure[] = [];
  for await (const figure of measure(TINY)) figures.push(figure);
  expect(figures.map(({ name }) => name)).toEqual([
    'embedded broker, single readings',
    'embedded broker, packs of 3',
    'outside broker, single readings',
    'outside broker, packs of 3',
    'publish to page, quiet, p50',
    'publish to page, quiet, p99',
    expect.stringMatching(/^publish to page, at \d+ messages\/s, p50$/),
    expect.stringMatching(/^publish to page, at \d+ messages\/s, p99$/),
    'exposures of 1 place over 1 days, 5 probes at 60 s, median',
    'exposures of 1 place over 1 days, 5 probes at 60 s, read segments',
    expect.stringMatching(/^start to ready with [\d,]+ readings, median$/),
    'resident memory after 0.1 s, the demo living on',
  ]);
  for (const figure of figures) {
    expect(figure.value, figure.name).toBeGreaterThan(0);
    expect(figure.value, figure.name).toBeLessThan(Number.POSITIVE_INFINITY);
    expect(lineOf(figure)).toContain(figure.unit);
  }
});
