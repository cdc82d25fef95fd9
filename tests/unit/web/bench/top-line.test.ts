import { expect, test } from 'vitest';
import type { Alarm } from '../../../../shared/model/alarms/alarm.ts';
import { houseAlarms, worstFirst } from '../../../../web/bench/rank.ts';
import { topLine } from '../../../../web/bench/top-line.ts';
import { alarmOf, NOW_MS, nowValue, placeNamed } from '../examples.ts';

const cold = placeNamed('cold', { rootZoneTemperatureC: nowValue(19.4, 'below') });
const silent = placeNamed('silent', {
  airTemperatureC: nowValue(20, 'stale'),
  airVpdKpa: nowValue(0.2, 'stale'),
  rootZoneTemperatureC: nowValue(20, 'stale'),
});
const well = placeNamed('well');
const hot = placeNamed('hot', { airTemperatureC: nowValue(28.9, 'over-ceiling') });
const outlook = (alarms: readonly Alarm[], coldAtRoot: readonly string[] = []) => ({
  ...{ alarms, nowMs: NOW_MS, coldAtRoot: new Set(coldAtRoot) },
});
const ids = (places: readonly { id: string }[]) => places.map(({ id }) => id);

test('an alarm comes before silence, silence before a band, a band before what is well', () => {
  const sorted = worstFirst([well, cold, silent, hot], outlook([alarmOf('hot')]));
  expect(ids(sorted)).toEqual(['hot', 'silent', 'cold', 'well']);
});

test('an acknowledged alarm comes after one that waits for an answer', () => {
  const alarms = [alarmOf('well', { state: 'acknowledged' }), alarmOf('cold', { priority: 'medium' })];
  expect(ids(worstFirst([well, cold], outlook(alarms)))).toEqual(['cold', 'well']);
});

test('a cold spell of the last day puts a place before those that are well', () => {
  const past = placeNamed('zz-was-cold');
  expect(ids(worstFirst([well, past], outlook([], ['zz-was-cold'])))).toEqual(['zz-was-cold', 'well']);
});

test('equals are sorted by name, bench 2 before bench 10', () => {
  const places = [placeNamed('bench 10'), placeNamed('bench 2')];
  expect(ids(worstFirst(places, outlook([])))).toEqual(['bench 2', 'bench 10']);
});

test('with 1 alarm of 3 places the line calls for a hand, names the 2 that are out and counts the other', () => {
  const line = topLine([hot, cold, well], outlook([alarmOf('hot')]));
  expect(line.call).toBe('One place needs attention now.');
  expect(line.urgent).toBe(true);
  expect(line.clauses.map(({ name, clause }) => `${name} ${clause}`)).toEqual([
    'hot air over ceiling',
    'cold root zone too cold',
  ]);
  expect(line.rest).toBe('The other is where it should be.');
});

test('with all 3 places in band nothing needs a hand', () => {
  const line = topLine([well, placeNamed('a'), placeNamed('b')], outlook([]));
  expect([line.call, line.rest]).toEqual([
    'Nothing needs attention now.',
    'All 3 places are where they should be.',
  ]);
});

test('an acknowledged alarm stays in the line and calls no more', () => {
  const line = topLine([hot], outlook([alarmOf('hot', { state: 'acknowledged' })]));
  expect(line.urgent).toBe(false);
  expect(line.clauses[0]?.clause).toBe('air over ceiling (acknowledged)');
  expect(line.rest).toBeNull();
});

test('of 6 places out of band 4 are named and 2 counted', () => {
  const places = Array.from({ length: 6 }, (_, i) => ({ ...cold, id: `p${i}` }));
  const line = topLine(places, outlook([]));
  expect(line.clauses).toHaveLength(4);
  expect(line.rest).toBe('2 more out of band.');
});

test('an alarm of the house, of no place, calls for a hand; once it returned or is acknowledged it does not', () => {
  const call = (state: Alarm['state']) =>
    topLine([well], outlook([{ ...alarmOf('well', { rule: 'way-failing', state }), placeId: null }])).call;
  expect(call('unacknowledged')).toBe('The system needs attention.');
  expect(call('returned-unacknowledged')).toBe('Nothing needs attention now.');
  expect(call('acknowledged')).toBe('Nothing needs attention now.');
});

test('of 3 alarms of the house the 2 that nobody acknowledged stand on the benches, the urgent one first', () => {
  const ofHouse = (id: string, state: Alarm['state']): Alarm => ({
    ...alarmOf('well', { id, state }),
    placeId: null,
  });
  const alarms = [
    ofHouse('gone', 'returned-unacknowledged'),
    ofHouse('stands', 'unacknowledged'),
    ofHouse('seen', 'acknowledged'),
  ];
  expect(ids(houseAlarms(outlook([...alarms, alarmOf('well')])))).toEqual(['stands', 'gone']);
});
