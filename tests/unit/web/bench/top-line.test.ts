import { expect, test } from 'vitest';
import type { Alarm } from '../../../../shared/model/alarms/alarm.ts';
import type { PlaceSummary } from '../../../../shared/wire/http.ts';
import { houseAlarms, probesReporting, worstFirst } from '../../../../web/bench/rank.ts';
import { topLine } from '../../../../web/bench/top-line.ts';
import { alarmOf, MINUTE_MS, NOW_MS, nowValue, placeNamed } from '../examples.ts';

const cold = placeNamed(
  'cold',
  { rootZoneTemperatureC: nowValue(19.4, 'below') },
  { state: 'watch', harm: 0.1, minutesLeft: 6_000 },
);
const silent = placeNamed(
  'silent',
  {
    airTemperatureC: nowValue(20, 'stale'),
    airVpdKpa: nowValue(0.2, 'stale'),
    rootZoneTemperatureC: nowValue(20, 'stale'),
  },
  { state: 'act', blindTo: ['heat', 'dryness', 'root-zone'] },
);
const well = placeNamed('well');
const hot = placeNamed(
  'hot',
  { airTemperatureC: nowValue(28.9, 'over-ceiling') },
  { state: 'act', harm: 0.1, minutesLeft: 160 },
);
const wasHot = placeNamed(
  'was-hot',
  {},
  {
    state: 'watch',
    harm: 0.2,
    lately: [
      {
        kind: 'air-over-ceiling',
        from: new Date(NOW_MS - 16 * MINUTE_MS).toISOString(),
        to: new Date(NOW_MS - 3 * MINUTE_MS).toISOString(),
        peak: 33,
        furthest: 6.3,
        harm: 0.2,
      },
    ],
  },
);
const READER = { unit: 'C', timeZone: 'UTC', nowMs: NOW_MS } as const;
const outlook = (alarms: readonly Alarm[]) => ({ alarms, nowMs: NOW_MS });
const lineOf = (places: readonly PlaceSummary[], alarms: readonly Alarm[] = []) =>
  topLine(places, outlook(alarms), READER);
const ids = (places: readonly { id: string }[]) => places.map(({ id }) => id);

test('what harms with minutes left comes before what cannot be seen, that before what is to be watched', () => {
  const sorted = worstFirst([well, cold, silent, hot], outlook([alarmOf('hot')]));
  expect(ids(sorted)).toEqual(['hot', 'silent', 'cold', 'well']);
});

test('an acknowledgement changes no order: what harms more comes first', () => {
  const alarms = [alarmOf('hot', { state: 'acknowledged' }), alarmOf('cold', { priority: 'medium' })];
  expect(ids(worstFirst([cold, hot], outlook(alarms)))).toEqual(['hot', 'cold']);
});

test('heat of the last day puts a place before those that are well, and is named until it is a day ago', () => {
  expect(ids(worstFirst([well, wasHot], outlook([])))).toEqual(['was-hot', 'well']);
  const line = lineOf([wasHot, well]);
  expect(line.call).toBe('Nothing to do at once; keep an eye on one place.');
  expect(line.clauses[0]?.clause).toBe('air was 6.3 °C over its ceiling for 13 min from 13:50');
});

test('equals are sorted by name, bench 2 before bench 10', () => {
  const places = [placeNamed('bench 10'), placeNamed('bench 2')];
  expect(ids(worstFirst(places, outlook([])))).toEqual(['bench 2', 'bench 10']);
});

test('with 1 alarm of 3 places the line calls for a hand, names the 2 that are out and counts the other', () => {
  const line = lineOf([hot, cold, well], [alarmOf('hot')]);
  expect(line.call).toBe('One place needs attention now.');
  expect(line.urgent).toBe(true);
  expect(line.clauses.map(({ name, clause }) => `${name} ${clause}`)).toEqual([
    'hot air over ceiling',
    'cold root zone too cold',
  ]);
  expect(line.rest).toBe('The other is where it should be.');
});

test('with all 3 places in band nothing needs a hand', () => {
  const line = lineOf([well, placeNamed('a'), placeNamed('b')]);
  expect([line.call, line.rest]).toEqual([
    'Nothing needs attention now.',
    'All 3 places are where they should be.',
  ]);
});

test('an acknowledged alarm says who has seen it, and that the place still needs attention', () => {
  const facts = { kind: 'past-limit', value: 32.3, limit: 26.7, worst: 33, slopePerMin: -0.3 } as const;
  const times = { sinceMs: NOW_MS - 9 * MINUTE_MS, atMs: NOW_MS };
  const seen = {
    state: 'acknowledged',
    acknowledgedBy: 'Anna',
    acknowledgedAtMs: NOW_MS - 5 * MINUTE_MS,
  } as const;
  const line = lineOf([hot], [alarmOf('hot', { ...seen, facts: { ...facts, ...times } })]);
  expect([line.call, line.urgent]).toEqual(['One place needs attention now.', true]);
  expect(line.clauses[0]?.clause).toBe(
    'air over ceiling, still 5.6 °C beyond its limit, falling 0.3 °C a minute (acknowledged by Anna at 14:01)',
  );
  expect(line.rest).toBeNull();
});

test('an acknowledged alarm whose probe reported last 6 min ago does not say which way it goes', () => {
  const facts = { kind: 'past-limit', value: 32.3, limit: 26.7, worst: 33, slopePerMin: 0.3 } as const;
  const times = { sinceMs: NOW_MS - 9 * MINUTE_MS, atMs: NOW_MS - 6 * MINUTE_MS };
  const seen = { state: 'acknowledged', acknowledgedAtMs: NOW_MS - 7 * MINUTE_MS } as const;
  const line = lineOf([hot], [alarmOf('hot', { ...seen, facts: { ...facts, ...times } })]);
  expect(line.clauses[0]?.clause).toContain('still 5.6 °C beyond its limit (acknowledged');
});

test('of 6 places out of band 4 are named and 2 counted', () => {
  const places = Array.from({ length: 6 }, (_, i) => ({ ...cold, id: `p${i}` }));
  const line = lineOf(places);
  expect(line.clauses).toHaveLength(4);
  expect(line.rest).toBe('2 more to look at.');
});

test('an alarm of the house, of no place, calls for a hand; once it returned or is acknowledged it does not', () => {
  const call = (state: Alarm['state']) =>
    lineOf([well], [{ ...alarmOf('well', { rule: 'way-failing', state }), placeId: null }]).call;
  expect(call('unacknowledged')).toBe('The system needs attention.');
  expect(call('returned-unacknowledged')).toBe('Nothing needs attention now.');
  expect(call('acknowledged')).toBe('Nothing needs attention now.');
});

test('of 3 alarms of the house the 2 that nobody acknowledged are on the benches, the urgent one first', () => {
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

test('saturated air is said where the target sheet asks about it, and only there', () => {
  const wet = placeNamed(
    'dome',
    { relativeHumidityPct: nowValue(99, 'saturated') },
    { state: 'watch', harm: 0 },
  );
  const asked = { ...wet, targets: { ...wet.targets, alarms: { saturatedHours: 12 } } };
  expect(lineOf([asked]).clauses.map(({ clause }) => clause)).toEqual([
    'air saturated; its target sheet allows 12 h without a vent',
  ]);
  expect(lineOf([wet]).clauses.map(({ clause }) => clause)).toEqual(['little on record yet']);
});

test('where all alarms of a place are over, what harmed it comes first, and each thing is said once', () => {
  const over = (rule: Alarm['rule']) =>
    alarmOf('was-hot', { id: `was-hot.${rule}`, rule, state: 'returned-unacknowledged' });
  const alarms = [over('no-data'), over('power-back'), over('air-over-ceiling')];
  expect(lineOf([wasHot], alarms).clauses[0]?.clause).toBe(
    'air was 6.3 °C over its ceiling for 13 min from 13:50; data gap (ended)',
  );
  const active = alarmOf('was-hot', { id: 'was-hot.vpd', rule: 'vpd-above-band-in-light' });
  const later = { ...active, raisedAtMs: NOW_MS, priority: 'medium' } as const;
  expect(lineOf([wasHot], [over('no-data'), later]).clauses[0]?.clause).toBe('air too dry; data gap (ended)');
});

test('a probe that an active alarm names as silent does not count as reporting, though its value is still shown', () => {
  const silentProbe = (state: Alarm['state']) =>
    alarmOf('well', {
      rule: 'probe-silent',
      state,
      facts: { kind: 'no-data', silent: [{ probe: 'air/temperature/2', lastMs: NOW_MS }], wholePlace: false },
    });
  expect(probesReporting(well, [silentProbe('unacknowledged')])).toBe(2);
  expect(probesReporting(well, [silentProbe('acknowledged')])).toBe(2);
  expect(probesReporting(well, [silentProbe('returned-unacknowledged')])).toBe(3);
});
