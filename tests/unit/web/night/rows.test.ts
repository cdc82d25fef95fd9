import { expect, test } from 'vitest';
import type { NightRow } from '../../../../shared/wire/http.ts';
import { markOf } from '../../../../shared/words/night-row.ts';
import { arranged, dateAfter } from '../../../../web/night/rows.ts';
import { excursion, gap, rowOf } from './examples.ts';

const MARKS: readonly (readonly [string, Partial<NightRow>, string])[] = [
  ['to act on, nobody has answered', { state: 'act', answered: 'unacknowledged' }, 'unanswered'],
  ['to act on, without an alarm', { state: 'act', excursions: [excursion({ to: null })] }, 'unanswered'],
  ['to act on, somebody has answered', { state: 'act', answered: 'acknowledged' }, 'acknowledged'],
  ['from which nothing comes', { state: 'act', excursions: [gap(3, null)] }, 'not-reporting'],
  ['out of its band, to be watched', { state: 'watch', excursions: [excursion({ to: null })] }, 'out'],
  ['that is back in its band', { state: 'watch', excursions: [excursion()] }, 'back'],
  ['that was not seen for a while', { state: 'watch', excursions: [gap(1, 3)] }, 'back'],
  [
    'whose alarm waits although it is back',
    { state: 'watch', answered: 'unacknowledged', excursions: [excursion()] },
    'out',
  ],
  ['to be watched for what no excursion shows', { state: 'watch' }, 'out'],
  ['that did well', { state: 'ok' }, 'fine'],
  ['with three minutes out of its band', { excursions: [excursion({ overLimitHours: 0.05 })] }, 'fine'],
];

test.each(MARKS)('a place %s is marked so', (_, change, mark) => {
  expect(markOf(rowOf('sill', change))).toBe(mark);
});

test('loud rows keep the order of the answer, the worst three in full; the others stand by zone, those without last', () => {
  const back = { state: 'watch', excursions: [excursion()] } as const;
  const rows = [
    rowOf('e', { state: 'act', zone: 'South house' }),
    rowOf('a', { ...back, zone: 'North house' }),
    rowOf('d', back),
    rowOf('c', back),
    rowOf('bench 10', { zone: 'South house' }),
    rowOf('bench 9', { zone: 'South house' }),
    rowOf('sill'),
    rowOf('b', { zone: 'North house' }),
  ];
  const { loud, full, zones } = arranged(rows);
  expect(loud.map(({ name }) => name)).toEqual(['e', 'a', 'd', 'c']);
  expect([...full]).toEqual(['e', 'a', 'd']);
  expect(zones.map(({ name, rows: some, of }) => [name, some.map((row) => row.name), of])).toEqual([
    ['North house', ['b'], 2],
    ['South house', ['bench 9', 'bench 10'], 3],
    [null, ['sill'], 3],
  ]);
});

test('a zone in which every place is loud has no heading, and each place stands once', () => {
  const rows = [rowOf('a', { state: 'act', zone: 'North' }), rowOf('b', { zone: 'South' })];
  const { loud, zones } = arranged(rows);
  expect(zones.map(({ name }) => name)).toEqual(['South']);
  expect([...loud, ...zones.flatMap((zone) => zone.rows)]).toHaveLength(2);
});

test.each([
  ['2026-03-01', -1, '2026-02-28'],
  ['2026-12-31', 1, '2027-01-01'],
  ['2028-02-28', 1, '2028-02-29'],
])('%s and %i days is %s', (date, days, after) => {
  expect(dateAfter(date, days)).toBe(after);
});
