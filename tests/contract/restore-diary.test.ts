import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { beforeAll, expect, test } from 'vitest';
import { photosNamedIn } from '../../server/adapters/sqlite/file/photos-named.ts';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { temporaryFolder } from '../support/folders.ts';
import { makeFullRecord } from '../support/full-record.ts';
import { changedCopy, NOW_MS, restored } from './hostile-file.ts';

const PHOTO = `${'a'.repeat(64)}.jpg`;

let full: string;
beforeAll(async () => {
  full = join(temporaryFolder('full'), 'record.db');
  await makeFullRecord(full, { nowMs: NOW_MS });
});
const changed = (change: (db: Database.Database) => void) => changedCopy(full, change);
const run = (sql: string) => restored(changed((db) => void db.exec(sql)));

test('an entry comes back from a backup with its batch, its note, who wrote it, and the name of its photo', () => {
  const { to, report } = run(`UPDATE diary_entry SET photo = '${PHOTO}'`);
  const store = openStore({ file: to, nowMs: NOW_MS });
  expect(store.diary.get(1)).toMatchObject({
    placeId: 'bench-1',
    batchId: 1,
    kind: 'vented',
    note: 'opened for mist',
    by: 'Sam',
    photo: PHOTO,
    deletedMs: null,
  });
  store.close();
  expect(photosNamedIn(to)).toEqual([PHOTO]);
  expect(report.tables.find(({ table }) => table === 'diary_entry')).toMatchObject({ copied: 1, changed: 0 });
});

test.each([
  ['a kind nobody knows', "UPDATE diary_entry SET kind = 'sung to'", 'left-out', /kind/],
  ['a photo that leads out of its folder', "UPDATE diary_entry SET photo = '../x.jpg'", 'left-out', /photo/],
  ['a note of 2,001 characters', "UPDATE diary_entry SET note = printf('%.2001c', 'n')", 'left-out', /note/],
  ['an end before its start', 'UPDATE diary_entry SET to_ms = at_ms - 1', 'left-out', /ends before/],
  ['a batch that is not there', 'UPDATE diary_entry SET batch_id = 99', 'changed', /batch is not there/],
  [
    'a place that is not there',
    "UPDATE diary_entry SET place_id = 'nowhere'",
    'changed',
    /place is not there/,
  ],
] as const)('an entry with %s is named, and changed or left out', (_, sql, kind, why) => {
  const { report } = run(`PRAGMA foreign_keys = OFF; ${sql}`);
  const remarks = report.remarks.filter(({ table }) => table === 'diary_entry');
  expect(remarks).toEqual([expect.objectContaining({ kind, why: expect.stringMatching(why) })]);
});
