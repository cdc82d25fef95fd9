import { expect, test } from 'vitest';
import type { Night } from '../../../../shared/wire/http.ts';
import { keptNightOf, keptNightText } from '../../../../web/night/kept-night.ts';
import { excursion, hourOf, rowOf } from './examples.ts';

const NIGHT: Night = {
  date: '2026-03-05',
  from: hourOf(0),
  to: hourOf(10),
  madeAt: hourOf(10),
  places: [rowOf('sill', { excursions: [excursion()] })],
  installation: { unwatched: [], pairs: [] },
  answers: [],
};

test('a night that was kept is read again as it was', () => {
  expect(keptNightOf(keptNightText(NIGHT))).toEqual(NIGHT);
});

test.each([
  ['nothing', null],
  ['no JSON', '{"v":2,'],
  ['another version', JSON.stringify({ v: 0, night: NIGHT })],
  ['no night', JSON.stringify({ v: 2, night: { ...NIGHT, madeAt: 7 } })],
  ['a row without excursions', JSON.stringify({ v: 2, night: { ...NIGHT, places: [{ placeId: 'a' }] } })],
])('%s is no night', (_, text) => {
  expect(keptNightOf(text)).toBeNull();
});
