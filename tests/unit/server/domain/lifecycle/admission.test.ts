import { expect, test } from 'vitest';
import { admissionOf } from '../../../../../server/domain/lifecycle/admission.ts';
import { probeQuota } from '../../../../../server/domain/lifecycle/quotas.ts';
import { DAY_MS, isOver, removedAtMs, withDay } from '../../../../../server/domain/lifecycle/removal.ts';
import { archiveScope } from '../../../../../server/domain/lifecycle/scope.ts';
import type { Probe } from '../../../../../shared/model/probes/probe.ts';

test.each([
  ['a device that is known', { known: true, archived: true, owned: true, trusted: false }, 'store'],
  ['a new one on an open house', { known: false, archived: false, owned: false, trusted: false }, 'store'],
  ['a new one behind a password', { known: false, archived: false, owned: true, trusted: false }, 'wait'],
  ['one with a login of its own', { known: false, archived: false, owned: true, trusted: true }, 'store'],
  [
    'an archived one, no password',
    { known: false, archived: true, owned: false, trusted: false },
    'archived',
  ],
  ['an archived one, password', { known: false, archived: true, owned: true, trusted: false }, 'wait'],
  ['an archived one, own login', { known: false, archived: true, owned: true, trusted: true }, 'archived'],
] as const)('%s: %o → %s', (_name, facts, expected) => {
  expect(admissionOf(facts)).toBe(expected);
});

test.each([
  ['the device', { own: false, ofDevice: 190, shared: 1_000, inAll: 1_000 }, 10, '200 a device'],
  ['all without a login', { own: false, ofDevice: 0, shared: 4_990, inAll: 4_990 }, 10, '5000 for all'],
  [
    'a login of its own is spared that',
    { own: true, ofDevice: 0, shared: 5_000, inAll: 5_000 },
    200,
    '200 a',
  ],
  ['all in all', { own: true, ofDevice: 0, shared: 5_000, inAll: 5_995 }, 5, '6000 in all'],
  [
    'more than may be, from before',
    { own: false, ofDevice: 0, shared: 5_100, inAll: 5_100 },
    0,
    '5000 for all',
  ],
] as const)('the tightest quota decides: %s', (_name, counts, room, limit) => {
  const quota = probeQuota(counts);
  expect(quota.room).toBe(room);
  expect(quota.limit).toContain(limit);
});

test('days are counted one at a time: 30 are over after 30 days, after a jump of 400 days 1 is counted', () => {
  let counted = { countedDays: 0, countedMs: 0 };
  expect(withDay(counted, DAY_MS - 1)).toBe(counted);
  expect(withDay(counted, 400 * DAY_MS).countedDays).toBe(1);
  expect(withDay({ countedDays: 3, countedMs: 400 * DAY_MS }, DAY_MS)).toEqual({
    countedDays: 3,
    countedMs: DAY_MS,
  });
  for (let day = 1; day <= 30; day++) {
    expect([isOver(counted), removedAtMs(counted)]).toEqual([false, 30 * DAY_MS]);
    counted = withDay(counted, day * DAY_MS);
  }
  expect(isOver(counted)).toBe(true);
});

const probe = (id: number, device: string, placeId: string | null): Probe => ({
  id,
  device,
  placeId,
  name: `p-${id}`,
  quantity: null,
  unit: '',
  conflicts: 0,
});
const PROBES = [
  probe(1, 'a', 'one'),
  probe(2, 'b', 'one'),
  probe(3, 'b', 'two'),
  probe(4, 'a', null),
  probe(5, 'b', null),
];

test.each([
  // b has another place, so its unassigned probe stays
  ['a place', { kind: 'place', placeId: 'one' }, { placeIds: ['one'], probeIds: [1, 2, 4] }],
  // in place one a reports too
  ['a device', { kind: 'device', device: 'b' }, { placeIds: ['two'], probeIds: [2, 3, 5] }],
  ['a device that shares its place', { kind: 'device', device: 'a' }, { placeIds: [], probeIds: [1, 4] }],
  ['a probe', { kind: 'probe', probeId: 3 }, { placeIds: [], probeIds: [3] }],
] as const)('what goes with %s', (_name, of, scope) => {
  expect(archiveScope(of, PROBES)).toEqual(scope);
});
