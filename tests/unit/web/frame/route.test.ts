import { expect, test } from 'vitest';
import { placeHref, routeOf } from '../../../../web/frame/route.ts';

test.each([
  ['', 'benches'],
  ['#/', 'benches'],
  ['#/alarms', 'alarms'],
  ['#/people', 'people'],
  ['#/probes', 'probes'],
  ['#/system', 'system'],
  ['#/house', 'system'],
  ['#/watch', 'watch'],
  ['#/other', 'other'],
  ['#/place/', 'unknown'],
  ['#/batches', 'unknown'],
])('%s names the page %s', (hash, page) => {
  expect(routeOf(hash)).toEqual({ page });
});

test.each([
  ['#/night', null],
  ['#/night/2026-03-05', '2026-03-05'],
])('%s names the night', (hash, date) => {
  expect(routeOf(hash)).toEqual({ page: 'night', date });
});

test('a night that is no date is no page', () => {
  expect(routeOf('#/night/yesterday')).toEqual({ page: 'unknown' });
});

test('the address of a place leads back to it, also with a space and a slash in its id', () => {
  expect(routeOf(placeHref('bench 3/a'))).toEqual({ page: 'place', placeId: 'bench 3/a' });
});

test('a broken escape is taken as it stands', () => {
  expect(routeOf('#/place/%E0%A4%A')).toEqual({ page: 'place', placeId: '%E0%A4%A' });
});
