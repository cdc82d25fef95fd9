import { expect, test } from 'vitest';
import { openDatabase, readMigrations } from '../../../../server/adapters/sqlite/database.ts';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { databaseFile } from '../support/house.ts';

test.each([
  ['0 K, which nobody had set', '{"leafOffsetK":0}', null],
  ['2 K, which somebody had', '{"leafOffsetK":2}', 2],
  ['nothing', '{}', null],
  ['no JSON, whose defaults hold', 'no JSON', null],
])('a leaf that was at %s is kept so', (_, settings, expected) => {
  const file = databaseFile();
  const migrations = readMigrations().filter(({ name }) => name < '0018');
  const db = openDatabase({ file, nowMs: 0, migrations });
  const place = "INSERT INTO place (id, name, kind, invented, settings) VALUES ('b', 'Bench', 'bench', 0, ?)";
  db.prepare(place).run(settings);
  db.close();
  const store = openStore({ file, nowMs: 0 });
  expect(store.places.all()[0]?.settings.leafOffsetK).toBe(expected);
  store.close();
});
