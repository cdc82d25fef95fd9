import { expect, test } from 'vitest';
import type { PlaceSummary } from '../../../../../shared/wire/http.ts';
import { benchesHref, choicesOf, filtered, NO_FILTER } from '../../../../../web/bench/many/filter.ts';
import { routeOf } from '../../../../../web/frame/route.ts';
import { placeNamed } from '../../examples.ts';

function inZone(id: string, zone: string | null, state: PlaceSummary['now']['state'] = 'ok'): PlaceSummary {
  const place = placeNamed(id, {}, { state });
  return { ...place, settings: { ...place.settings, zone } };
}
const PLACES = [
  inZone('a', 'North house', 'act'),
  inZone('b', 'North house'),
  inZone('c', 'South / west'),
  inZone('d', null, 'watch'),
];
const CROPS = { a: ['fig', 'geranium'], c: ['fig'] };
const left = (change: Partial<typeof NO_FILTER>) =>
  filtered(PLACES, { ...NO_FILTER, ...change }, CROPS).map(({ id }) => id);

test('benches are chosen by zone, state and crop, or by several of them', () => {
  expect(left({})).toEqual(['a', 'b', 'c', 'd']);
  expect(left({ zone: 'North house' })).toEqual(['a', 'b']);
  expect(left({ zone: '-' })).toEqual(['d']);
  expect(left({ state: 'ok' })).toEqual(['b', 'c']);
  expect(left({ crop: 'fig' })).toEqual(['a', 'c']);
  expect(left({ zone: 'North house', crop: 'fig' })).toEqual(['a']);
  expect(left({ zone: 'South / west', state: 'act' })).toEqual([]);
});

test.each([
  { ...NO_FILTER, zone: 'South / west & more' },
  { zone: '-', state: 'watch', crop: 'Pelargonium × hortorum' } as const,
])('the address of a filter leads back to it', (filter) => {
  expect(routeOf(benchesHref(filter))).toEqual({ page: 'benches', filter });
});

test('no filter, and one that nobody knows, is the page of all benches', () => {
  expect(benchesHref(NO_FILTER)).toBe('#/');
  expect(routeOf('#/?state=sleepy')).toEqual({ page: 'benches' });
});

test('zones are offered where there are several, crops where there is one; what is asked for is always there', () => {
  expect(choicesOf(PLACES, CROPS, NO_FILTER)).toEqual({
    zones: ['North house', 'South / west', '-'],
    crops: ['fig', 'geranium'],
  });
  expect(choicesOf(PLACES.slice(0, 2), {}, NO_FILTER)).toEqual({ zones: [], crops: [] });
  expect(choicesOf(PLACES.slice(0, 2), {}, { ...NO_FILTER, zone: 'gone', crop: 'mint' })).toEqual({
    zones: ['gone', 'North house'],
    crops: ['mint'],
  });
});
