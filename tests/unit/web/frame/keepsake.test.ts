import { expect, test } from 'vitest';
import { mayBeSilent } from '../../../../web/bench/rank.ts';
import { agedPlace, NOTHING_KNOWN } from '../../../../web/frame/apply.ts';
import { keepsakeOf, keepsakeText } from '../../../../web/frame/keepsake.ts';
import { alarmOf, HOUSE, MINUTE_MS, NOW_MS, nowValue, placeNamed } from '../examples.ts';

const KNOWN = { places: [placeNamed('sill')], alarms: [alarmOf('sill')], house: HOUSE };

test('a state of 1 place and 1 alarm comes back as it was kept, with its time', () => {
  expect(keepsakeOf(keepsakeText(KNOWN, NOW_MS))).toEqual({ known: KNOWN, atMs: NOW_MS });
});

test('before anything is known nothing is kept', () => {
  expect(keepsakeText(NOTHING_KNOWN, NOW_MS)).toBeNull();
});

test.each([
  ['nothing', null],
  ['no JSON', '{"v":1'],
  ['another version', JSON.stringify({ v: 0, atMs: NOW_MS, known: KNOWN })],
  ['no time', JSON.stringify({ v: 2, known: KNOWN })],
  ['no house', JSON.stringify({ v: 2, atMs: NOW_MS, known: NOTHING_KNOWN })],
  [
    'a place without its targets',
    JSON.stringify({ v: 2, atMs: 1, known: { ...KNOWN, places: [{ id: 'a', name: 'a' }] } }),
  ],
])('%s is not read', (_, text) => {
  expect(keepsakeOf(text)).toBeNull();
});

test('while the daemon is away a value of 6 min ago is stale and one of 4 min ago is not', () => {
  const place = placeNamed('sill', {
    airTemperatureC: nowValue(22.4, 'within', NOW_MS - 6 * MINUTE_MS),
    rootZoneTemperatureC: nowValue(23.8, 'within', NOW_MS - 4 * MINUTE_MS),
  });
  const { now } = agedPlace(place, NOW_MS);
  expect(now.quantities.airTemperatureC).toMatchObject({ value: 22.4, state: 'stale' });
  expect(now.quantities.rootZoneTemperatureC?.state).toBe('within');
  expect(now.probesTelling).toBe(3);
});

test('when all is old, 0 of its 3 probes report', () => {
  expect(agedPlace(placeNamed('sill'), NOW_MS + 60 * MINUTE_MS).now).toMatchObject({
    probesTelling: 0,
    probesAssigned: 3,
  });
});

test('a place may have stopped reporting when a value is 6 min old, or an alarm of silence is active and 3 are said to report', () => {
  const place = placeNamed('sill');
  const silence = alarmOf('sill', { id: 'sill.no-data', rule: 'no-data' });
  expect(mayBeSilent(place, { alarms: [], nowMs: NOW_MS })).toBe(false);
  expect(mayBeSilent(place, { alarms: [], nowMs: NOW_MS + 6 * MINUTE_MS })).toBe(true);
  expect(mayBeSilent(place, { alarms: [silence], nowMs: NOW_MS })).toBe(true);
  const known = { ...place, now: { ...place.now, probesTelling: 0 } };
  expect(mayBeSilent(known, { alarms: [silence], nowMs: NOW_MS })).toBe(false);
});
