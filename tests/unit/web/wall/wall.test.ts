import { describe, expect, test } from 'vitest';
import type { NightRow, PlaceSummary } from '../../../../shared/wire/http.ts';
import { labelsOf } from '../../../../web/wall/labels.ts';
import { liveRows } from '../../../../web/wall/live-rows.ts';
import { isNightAt, newestOf, silentSinceMs, wallOf } from '../../../../web/wall/wall.ts';
import { alarmOf, NOW_MS, nowValue, placeNamed, TARGETS } from '../examples.ts';
import { excursion, gap, hourOf, rowOf } from '../night/examples.ts';

const OUTLOOK = { alarms: [], nowMs: NOW_MS };
const cold = excursion({ to: null });
const COLD = { rootZoneTemperatureC: nowValue(19, 'below') };

function zoned(place: PlaceSummary, zone: string | null): PlaceSummary {
  return { ...place, settings: { ...place.settings, zone } };
}
const rowsOf = (night: readonly NightRow[], places: readonly PlaceSummary[]) =>
  liveRows(night, places, OUTLOOK);

test.each([
  [
    ['Bench 18', 'Bench 4', 'Dome on the sill'],
    ['18', '4', 'Dome on the sill'],
  ],
  [
    ['Mist 3', 'Case 3', 'Mist 4'],
    ['Mist 3', 'Case 3', '4'],
  ],
  [
    ['bench-07', '2026'],
    ['07', '2026'],
  ],
  [['Bench 12345'], ['Bench 12345']],
])('%j are short %j', (names, labels) => {
  expect(labelsOf(names)).toEqual(labels);
});

describe('a row of this moment', () => {
  test('has the state and the answer of now, whatever the night says, and its excursions', () => {
    const place = placeNamed('b', COLD, { state: 'act', minutesLeft: 30 });
    const alarm = alarmOf('b', { state: 'acknowledged' });
    const night = [rowOf('b', { state: 'ok', answered: 'unacknowledged', excursions: [cold] })];
    const [row] = liveRows(night, [place], { alarms: [alarm], nowMs: NOW_MS });
    expect(row).toMatchObject({
      state: 'act',
      minutesLeft: 30,
      answered: 'acknowledged',
      excursions: [cold],
    });
  });

  test('of a place that the night does not know yet has no excursion', () => {
    expect(rowsOf([], [placeNamed('new')])).toMatchObject([{ placeId: 'new', excursions: [] }]);
  });
});

test('of twelve out, the worst three are giant, each place stands once by zone, those without one last', () => {
  const places = Array.from({ length: 24 }, (_, i) =>
    zoned(
      placeNamed(`bench ${i + 1}`, COLD, i < 12 ? { state: 'act', minutesLeft: 100 - i } : {}),
      [null, 'South', 'North'][i % 3] ?? null,
    ),
  );
  const night = places.map(({ id }, i) => rowOf(id, { excursions: i < 12 ? [cold] : [] }));
  const wall = wallOf(rowsOf(night, places), 3);
  expect(wall.giants.map(({ row }) => row.name)).toEqual(['bench 12', 'bench 11', 'bench 10']);
  expect(wall.giants[0]).toMatchObject({ mark: 'unanswered', side: 'below' });
  expect(wall.zones.map(({ name, places: some }) => [name, some.length])).toEqual([
    ['North', 8],
    ['South', 8],
    [null, 8],
  ]);
  expect(wallOf(rowsOf(night, places), 1).giants).toHaveLength(1);
});

test('on a quiet night nothing is giant, also where a place was out and is back', () => {
  const places = [placeNamed('a'), placeNamed('b', {}, { state: 'watch' })];
  const wall = wallOf(rowsOf([rowOf('a'), rowOf('b', { excursions: [excursion()] })], places), 3);
  expect(wall.giants).toEqual([]);
  expect(wall.places.map(({ mark }) => mark)).toEqual(['back', 'fine']);
});

describe('the number of a giant', () => {
  const rowWith = (place: PlaceSummary, change: Partial<NightRow>) =>
    rowsOf([rowOf(place.id, change)], [place])[0];

  test('is the newest value of what is out', () => {
    const row = rowWith(placeNamed('b', COLD, { state: 'act' }), { excursions: [cold] });
    expect(row && newestOf(row)).toEqual({ value: 19, unit: '°C' });
  });

  test('is none where the value is out of date, so that it cannot look live', () => {
    const old = placeNamed('b', { rootZoneTemperatureC: nowValue(19, 'stale') }, { state: 'act' });
    const row = rowWith(old, { excursions: [cold] });
    expect(row && newestOf(row)).toBeNull();
  });

  test('is since when nothing is read where nothing is', () => {
    expect(silentSinceMs({ excursions: [gap(1, 2), gap(4, null)] })).toBe(Date.parse(hourOf(4)));
    expect(silentSinceMs({ excursions: [gap(1, 2)] })).toBeNull();
  });
});

test.each([
  ['05:59', '06:00', '20:00', true],
  ['06:00', '06:00', '20:00', false],
  ['20:00', '06:00', '20:00', true],
  ['01:00', '22:00', '02:00', false],
  ['03:00', '22:00', '02:00', true],
])('at %s with day from %s and night from %s it is night: %s', (clock, dayStart, nightStart, isNight) => {
  const atMs = Date.parse(`2026-03-05T${clock}:00Z`);
  const targets = { ...TARGETS, dayStart, nightStart };
  expect(isNightAt([{ targets }], { atMs, timeZone: 'UTC' })).toBe(isNight);
});

test('places that differ decide by their majority; without any it is day', () => {
  const day = { targets: { ...TARGETS, dayStart: '00:00', nightStart: '23:59' } };
  const night = { targets: { ...TARGETS, dayStart: '23:00', nightStart: '01:00' } };
  const at = { atMs: Date.parse('2026-03-05T12:00:00Z'), timeZone: 'UTC' };
  expect(isNightAt([day, night], at)).toBe(false);
  expect(isNightAt([day, night, night], at)).toBe(true);
  expect(isNightAt([], at)).toBe(false);
});
