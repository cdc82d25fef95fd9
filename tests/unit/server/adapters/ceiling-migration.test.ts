import { expect, test } from 'vitest';
import { openDatabase, readMigrations } from '../../../../server/adapters/sqlite/database.ts';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { databaseFile } from '../support/house.ts';

const CEILING = { onDelayMs: 90_000, offDelayMs: 30_000, deadbandK: 0.7 };
const FACTS = {
  kind: 'air-over-ceiling',
  valueC: 29.4,
  ceilingC: 26.7,
  peakC: 31.25,
  sinceMs: 1_000,
  atMs: 2_000,
  slopeKPerMin: null,
};

/** A record as the version before wrote it. */
function oldRecord(alarms: object | null): string {
  const file = databaseFile();
  const before = readMigrations().filter(({ name }) => name < '0016');
  const db = openDatabase({ file, nowMs: 0, migrations: before });
  const settings = { ceilingAlarm: CEILING, ...(alarms ? { alarms } : {}) };
  db.prepare('INSERT INTO place (id, name, kind, invented, settings) VALUES (?, ?, ?, 0, ?)').run(
    'b',
    'Bench',
    'bench',
    JSON.stringify(settings),
  );
  const body = { id: 'b.air-over-ceiling', placeId: 'b', rule: 'air-over-ceiling', facts: FACTS };
  db.prepare('INSERT INTO alarm (id, place_id, body) VALUES (?, ?, ?)').run(
    body.id,
    'b',
    JSON.stringify(body),
  );
  db.close();
  return file;
}

test.each([
  ['nothing else is set', null, { onDelayMs: 90_000, offDelayMs: 30_000, deadband: 0.7 }],
  [
    'the rule was also set, which counted before too',
    { 'air-over-ceiling': { onDelayMs: 10_000, on: false }, 'root-too-hot': { on: false } },
    { onDelayMs: 10_000, offDelayMs: 30_000, deadband: 0.7, on: false },
  ],
])('the 90 s, 30 s and 0.7 K of the ceiling become settings of its rule: %s', (_, alarms, expected) => {
  const store = openStore({ file: oldRecord(alarms), nowMs: 0 });
  const [place] = store.places.all();
  expect(place?.settings.alarms['air-over-ceiling']).toEqual(expected);
  expect(place?.settings.alarms['root-too-hot']).toEqual(alarms ? { on: false } : undefined);
  expect(place?.settings).not.toHaveProperty('ceilingAlarm');
  store.close();
});

test('facts of the ceiling at 29.4 °C, highest 31.25 °C, become those of a limit, to the last digit', () => {
  const store = openStore({ file: oldRecord(null), nowMs: 0 });
  expect(store.alarms.all()[0]?.facts).toEqual({
    kind: 'past-limit',
    value: 29.4,
    limit: 26.7,
    worst: 31.25,
    sinceMs: 1_000,
    atMs: 2_000,
    slopePerMin: null,
  });
  store.close();
});
