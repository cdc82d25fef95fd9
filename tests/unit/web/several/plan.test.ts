import { describe, expect, test } from 'vitest';
import type { PlaceSummary } from '../../../../shared/wire/http.ts';
import { ordersOf, planOf, sameNames } from '../../../../web/several/plan.ts';
import { placeNamed, TARGETS } from '../examples.ts';

function withSettings(id: string, settings: Partial<PlaceSummary['settings']>): PlaceSummary {
  const place = placeNamed(id);
  return { ...place, settings: { ...place.settings, ...settings } };
}
const north = withSettings('a', { zone: 'North' });
const none = withSettings('b', {});

test('a zone is shown from what to what; a place that is in it already is not ordered', () => {
  const plan = planOf([north, none], { kind: 'zone', zone: 'North' }, 'C');
  expect(plan.map(({ lines }) => lines)).toEqual([[], [{ what: 'zone', from: 'none', to: 'North' }]]);
  expect(ordersOf(plan)).toEqual({
    changes: [{ placeId: 'b', zone: 'North' }],
    undo: [{ placeId: 'b', zone: null }],
  });
});

test('of zones that were dragged only the places that were moved change', () => {
  const plan = planOf([north, none], { kind: 'zones', zoneOf: { a: null } }, 'C');
  expect(plan.map(({ lines }) => lines)).toEqual([[{ what: 'zone', from: 'North', to: 'none' }], []]);
  expect(ordersOf(plan)).toEqual({
    changes: [{ placeId: 'a', zone: null }],
    undo: [{ placeId: 'a', zone: 'North' }],
  });
});

describe('names', () => {
  const [one, two] = [placeNamed('bench-1'), placeNamed('bench-2')];

  test('are counted in the order given, from a number on, and come back by undo', () => {
    const plan = planOf([one, two], { kind: 'names', pattern: 'Mist #', first: 7 }, 'C');
    expect(plan.map(({ lines }) => lines)).toEqual([
      [{ what: 'name', from: 'bench-1', to: 'Mist 7' }],
      [{ what: 'name', from: 'bench-2', to: 'Mist 8' }],
    ]);
    expect(ordersOf(plan).changes[1]).toEqual({ placeId: 'bench-2', name: 'Mist 8' });
    expect(ordersOf(plan).undo[1]).toEqual({ placeId: 'bench-2', name: 'bench-2' });
  });

  test('of which nothing would be left stay; a part is replaced wherever it stands', () => {
    const plan = planOf([one, two], { kind: 'rename', find: 'bench-1', put: ' ' }, 'C');
    expect(plan.map(({ lines }) => lines)).toEqual([[], []]);
    const [mist] = planOf([one], { kind: 'rename', find: 'bench-', put: 'Mist ' }, 'C');
    expect(mist?.change).toEqual({ placeId: 'bench-1', name: 'Mist 1' });
  });

  test('that several places would have are named', () => {
    const plan = planOf([one], { kind: 'rename', find: '1', put: '2' }, 'C');
    expect(sameNames([one, two], plan)).toEqual(['bench-2']);
    expect(sameNames([one, two], [])).toEqual([]);
  });
});

test('of targets the figures that change are shown in the unit for reading, and what was is brought back', () => {
  const targets = { ...TARGETS, air: { ...TARGETS.air, ceilingC: 30 } };
  const [one] = planOf([none], { kind: 'targets', targets }, 'F');
  expect(one?.lines).toEqual([{ what: 'air, ceiling', from: '80.1\u00a0°F', to: '86.0\u00a0°F' }]);
  expect(one?.change).toEqual({ placeId: 'b', targets });
  expect(one?.undo).toEqual({ placeId: 'b', targets: TARGETS });
});

describe('an alarm', () => {
  const set = withSettings('c', {
    alarms: {
      'air-over-ceiling': { onDelayMs: 60_000, priority: 'low' },
      'light-over-peak': { on: false },
    },
  });
  const rule = 'air-over-ceiling';

  test('switched off keeps its delay and all other alarms', () => {
    const [one] = planOf([set], { kind: 'alarm', rule, on: false, priority: null }, 'C');
    expect(one?.lines).toMatchObject([{ from: 'on, priority low', to: 'off' }]);
    expect(one?.change).toEqual({
      placeId: 'c',
      alarms: {
        'light-over-peak': { on: false },
        'air-over-ceiling': { onDelayMs: 60_000, on: false },
      },
    });
    expect(one?.undo).toEqual({ placeId: 'c', alarms: set.settings.alarms });
  });

  test('as the rule has it leaves nothing behind where nothing else was set', () => {
    const low = withSettings('d', { alarms: { [rule]: { priority: 'low' } } });
    const [one] = planOf([low], { kind: 'alarm', rule, on: true, priority: null }, 'C');
    expect(one?.lines).toMatchObject([{ to: 'on, priority as the rule has it' }]);
    expect(one?.change).toEqual({ placeId: 'd', alarms: {} });
  });
});
