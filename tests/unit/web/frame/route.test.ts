import { expect, test } from 'vitest';
import { alarmPath } from '../../../../shared/page-routes.ts';
import { batchHref, placeHref, routeOf } from '../../../../web/frame/route.ts';

test.each([
  ['', 'benches'],
  ['#/', 'benches'],
  ['#/people', 'people'],
  ['#/probes', 'probes'],
  ['#/system', 'system'],
  ['#/house', 'system'],
  ['#/watch', 'watch'],
  ['#/other', 'other'],
  ['#/place/', 'unknown'],
  ['#/batches', 'batches'],
  ['#/batch/', 'unknown'],
  ['#/compare/', 'unknown'],
  ['#/cuttings', 'unknown'],
])('%s names the page %s', (hash, page) => {
  expect(routeOf(hash)).toEqual({ page });
});

test.each([
  ['#/night', null],
  ['#/night/2026-03-05', '2026-03-05'],
])('%s names the night', (hash, date) => {
  expect(routeOf(hash)).toEqual({ page: 'night', date });
});

test('an alarm that a message leads to is named by its address', () => {
  expect(routeOf('#/alarms')).toEqual({ page: 'alarms', alarmId: null });
  expect(routeOf(alarmPath('my bench.no-data').slice(1))).toEqual({
    page: 'alarms',
    alarmId: 'my bench.no-data',
  });
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

test('the addresses of a batch, of what happened to it and of two compared name them', () => {
  expect(routeOf(batchHref('12'))).toEqual({ page: 'batch', batchId: '12' });
  expect(routeOf('#/report/12')).toEqual({ page: 'report', batchId: '12' });
  expect(routeOf('#/compare/12,7')).toEqual({ page: 'compare', of: 'batches', ids: ['12', '7'] });
  expect(routeOf('#/compare/benches=sill,bench-2')).toEqual({
    page: 'compare',
    of: 'places',
    ids: ['sill', 'bench-2'],
  });
});

test('a batch is started with and without a place', () => {
  expect(routeOf('#/start')).toEqual({ page: 'start', placeId: null });
  expect(routeOf('#/plan')).toEqual({ page: 'plan', planId: null });
  expect(routeOf('#/plan/7')).toEqual({ page: 'plan', planId: '7' });
  expect(routeOf('#/start/bench%203')).toEqual({ page: 'start', placeId: 'bench 3' });
});

test('benches of a zone, a state or a crop have an address of their own', () => {
  const filter = { zone: 'North house', state: 'act', crop: null };
  expect(routeOf('#/?zone=North+house&state=act')).toEqual({ page: 'benches', filter });
  expect(routeOf('#/wall')).toEqual({ page: 'wall' });
});
