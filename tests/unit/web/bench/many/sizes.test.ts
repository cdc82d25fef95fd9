import { expect, test } from 'vitest';
import { sizesOf } from '../../../../../web/bench/many/sizes.ts';
import { NOW_MS, placeNamed } from '../../examples.ts';

const OUTLOOK = { alarms: [], nowMs: NOW_MS };
const well = (count: number) => Array.from({ length: count }, (_, i) => placeNamed(`well-${i}`));
const out = (count: number) =>
  Array.from({ length: count }, (_, i) => placeNamed(`out-${i}`, {}, { state: 'act' }));
const counted = (...[places, screen]: [Parameters<typeof sizesOf>[0], 'wide' | 'narrow']) => {
  const sizes = [...sizesOf(places, OUTLOOK, screen).values()];
  return ['full', 'brief', 'line'].map((size) => sizes.filter((one) => one === size).length);
};

test('six on a desk and two on a phone are cards, however they do', () => {
  expect(counted([...out(3), ...well(3)], 'wide')).toEqual([6, 0, 0]);
  expect(counted([...out(1), ...well(1)], 'narrow')).toEqual([2, 0, 0]);
});

test('of 24 on a desk the worst three that are out keep a card, the others and the healthy ones are lines', () => {
  expect(counted([...out(12), ...well(12)], 'wide')).toEqual([0, 3, 21]);
  expect(counted([...out(1), ...well(23)], 'wide')).toEqual([0, 1, 23]);
  expect(counted(well(24), 'wide')).toEqual([0, 0, 24]);
  const sizes = sizesOf([...out(4), ...well(20)], OUTLOOK, 'wide');
  expect(['out-0', 'out-2', 'out-3'].map((id) => sizes.get(id))).toEqual(['brief', 'brief', 'line']);
});

test('on a phone each of 24 is a line', () => {
  expect(counted([...out(12), ...well(12)], 'narrow')).toEqual([0, 0, 24]);
});
