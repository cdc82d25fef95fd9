import { expect, test } from 'vitest';
import { isSilent, probesByPlace } from '../../../../web/probes/by-place.ts';
import { truthsApart } from '../../../../web/probes/checks/truths.ts';
import { MINUTE_MS, NOW_MS, placeNamed } from '../examples.ts';

const probe = (placeId: string | null, minutesAgo: number | null) => ({
  placeId,
  latest: minutesAgo === null ? null : { probeId: 1, tMs: NOW_MS - minutesAgo * MINUTE_MS, value: 20 },
});

test('a probe is silent once readings are further apart than its place allows, 15 min, or none ever came', () => {
  const place = placeNamed('a');
  expect([15, 16, null].map((ago) => isSilent(probe('a', ago), place, NOW_MS))).toEqual([false, true, true]);
  expect(isSilent(probe(null, 16), undefined, NOW_MS)).toBe(true);
});

test('places with a silent probe come first, then by name, and unassigned probes last; each probe stands once', () => {
  const places = [placeNamed('bench 10'), placeNamed('bench 9'), placeNamed('sill')];
  const probes = [
    probe('bench 10', 1),
    probe(null, 1),
    probe('bench 9', 1),
    probe('sill', 40),
    probe('sill', 1),
  ];
  const groups = probesByPlace(probes, places, NOW_MS);
  expect(groups.map(({ name, probes: some, silent }) => [name, some.length, silent])).toEqual([
    ['sill', 2, 1],
    ['bench 9', 1, 0],
    ['bench 10', 1, 0],
    [null, 1, 0],
  ]);
});

const truth = (due: string | null) => ({
  limits: { offset: 1, gain: 0.1, fromValue: 0 },
  inForce: null,
  corrections: [],
  due,
  lastCheck: null,
});

test('of twelve probes all are listed; of 13 those of which nothing is known stand apart', () => {
  const twelve = Array.from({ length: 12 }, () => truth(null));
  // what limits and corrections hold is of no account here
  const apart = (all: readonly unknown[]) => {
    const { known, plain } = truthsApart(all as Parameters<typeof truthsApart>[0]);
    return [known.length, plain.length];
  };
  expect(apart(twelve)).toEqual([12, 0]);
  expect(apart([...twelve, truth('2026-04-01T00:00:00Z')])).toEqual([1, 12]);
  expect(apart([...twelve, { ...truth(null), limits: null }])).toEqual([12, 0]);
});
