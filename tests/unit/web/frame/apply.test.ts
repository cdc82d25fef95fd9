import { expect, test } from 'vitest';
import type { LiveMessage } from '../../../../shared/wire/live.ts';
import {
  applyLive,
  type Known,
  NOTHING_KNOWN,
  newHighAlarms,
  sentAtMs,
} from '../../../../web/frame/apply.ts';
import { alarmOf, HOUSE, NOW_MS, nowValue, placeNamed } from '../examples.ts';

const head = { v: 1, seq: 1 } as const;
const snapshot = (known: Omit<Known, 'house'>): LiveMessage => ({
  ...head,
  type: 'snapshot',
  atMs: NOW_MS,
  house: HOUSE,
  ...known,
});
const sill = placeNamed('sill');
const bench = placeNamed('bench');
const start = applyLive(NOTHING_KNOWN, snapshot({ places: [sill, bench], alarms: [alarmOf('sill')] }));

test('a snapshot replaces all that was known: 2 places become 1, 1 alarm becomes none', () => {
  const known = applyLive(start, snapshot({ places: [bench], alarms: [] }));
  expect(known).toEqual({ places: [bench], alarms: [], house: HOUSE });
});

test('a present state of 24.5 °C changes its place and no other', () => {
  const { now } = placeNamed('sill', { airTemperatureC: nowValue(24.5, 'within') });
  const known = applyLive(start, { ...head, type: 'now', atMs: NOW_MS, now });
  expect(known.places[0]?.now.quantities.airTemperatureC?.value).toBe(24.5);
  expect(known.places[1]).toBe(bench);
});

test('a present state of a place that is not known adds none', () => {
  const { now } = placeNamed('elsewhere');
  expect(applyLive(start, { ...head, type: 'now', atMs: NOW_MS, now }).places).toHaveLength(2);
});

test('a place that is sent again is replaced in its row, a new one makes 3', () => {
  const renamed = { ...sill, name: 'Dome on the sill' };
  expect(applyLive(start, { ...head, type: 'place', place: renamed }).places).toEqual([renamed, bench]);
  expect(applyLive(start, { ...head, type: 'place', place: placeNamed('case') }).places).toHaveLength(3);
});

test('a new name of a place holds for its 1 active alarm, too', () => {
  const place = { ...sill, name: 'Dome on the sill' };
  const known = applyLive(start, { ...head, type: 'place', place });
  expect(known.alarms.map(({ placeName }) => placeName)).toEqual(['Dome on the sill']);
});

test('a place that is gone takes its 1 alarm along', () => {
  const known = applyLive(start, { ...head, type: 'place-gone', placeId: 'sill' });
  expect(known.places).toEqual([bench]);
  expect(known.alarms).toEqual([]);
});

test('house facts are taken over and a beat changes nothing', () => {
  const house = { ...HOUSE, version: '0.2.0' };
  expect(applyLive(start, { ...head, type: 'house', house }).house?.version).toBe('0.2.0');
  expect(applyLive(start, { ...head, type: 'beat', atMs: NOW_MS })).toBe(start);
});

test('the daemon’s clock is read from a beat; an alarm carries none', () => {
  expect(sentAtMs({ ...head, type: 'beat', atMs: NOW_MS })).toBe(NOW_MS);
  expect(sentAtMs({ ...head, type: 'alarm', alarm: alarmOf('sill') })).toBeNull();
});

test('only a high alarm that is newly unacknowledged is cried out: not the first snapshot, not a medium one, not again', () => {
  const raised = (change = {}) =>
    applyLive(start, { ...head, type: 'alarm', alarm: alarmOf('bench', change) });
  expect(newHighAlarms(NOTHING_KNOWN, start)).toEqual([]);
  expect(newHighAlarms(start, start)).toEqual([]);
  expect(newHighAlarms(start, raised()).map(({ placeId }) => placeId)).toEqual(['bench']);
  expect(newHighAlarms(start, raised({ priority: 'medium' }))).toEqual([]);
  expect(newHighAlarms(start, raised({ state: 'acknowledged' }))).toEqual([]);
});

test('an alarm that was raised again at another time is cried out again', () => {
  const alarm = alarmOf('sill', { raisedAtMs: NOW_MS });
  expect(newHighAlarms(start, applyLive(start, { ...head, type: 'alarm', alarm }))).toEqual([alarm]);
});

const part = (places: readonly string[], more: boolean): LiveMessage => ({
  ...head,
  type: 'part',
  atMs: NOW_MS,
  alarms: [],
  more,
  places: places.map((id) => placeNamed(id)),
});
const firstPart = (places: readonly string[]): LiveMessage => ({
  ...head,
  type: 'snapshot',
  atMs: NOW_MS,
  house: HOUSE,
  alarms: [],
  more: true,
  places: places.map((id) => placeNamed(id)),
});
const placeIds = (known: Known) => known.places.map(({ id }) => id);

test('a state in 3 parts: what was known stays in sight until the last, then what is in none of them goes', () => {
  const first = applyLive(start, firstPart(['bench']));
  expect(placeIds(first)).toEqual(['sill', 'bench']);
  const second = applyLive(first, part(['dome'], true));
  expect(placeIds(second)).toEqual(['sill', 'bench', 'dome']);
  const last = applyLive(second, part(['frame'], false));
  expect(placeIds(last)).toEqual(['bench', 'dome', 'frame']);
  // the alarm of sill goes with it
  expect(last).toMatchObject({ alarms: [], house: HOUSE });
  expect(last).not.toHaveProperty('filling');
});

test('a place that is made between two parts stays, and one that is removed stays away', () => {
  const first = applyLive(NOTHING_KNOWN, firstPart(['bench']));
  const made = applyLive(first, { ...head, type: 'place', place: placeNamed('new') });
  const gone = applyLive(made, { ...head, type: 'place-gone', placeId: 'bench' });
  expect(placeIds(applyLive(gone, part(['dome'], false)))).toEqual(['new', 'dome']);
});

test('alarms of the parts of a first state are not cried out as new', () => {
  const high: LiveMessage = {
    ...head,
    type: 'part',
    atMs: NOW_MS,
    places: [],
    alarms: [alarmOf('sill')],
    more: true,
  };
  const before = applyLive(NOTHING_KNOWN, firstPart(['sill']));
  expect(newHighAlarms(before, applyLive(before, high))).toEqual([]);
});
