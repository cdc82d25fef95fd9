import { copyFileSync, mkdirSync, readFileSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { beforeAll, describe, expect, test } from 'vitest';
import { copyForeign } from '../../server/adapters/system/files/foreign-file.ts';
import { isComplete, restoreLines } from '../../server/domain/backups/restored.ts';
import { temporaryFolder } from '../support/folders.ts';
import { makeFullRecord } from '../support/full-record.ts';
import { changedCopy, NOW_MS, restored, valueIn } from './hostile-file.ts';

const quiet = () => undefined;

let full: string;
beforeAll(async () => {
  full = join(temporaryFolder('full'), 'record.db');
  await makeFullRecord(full, { nowMs: NOW_MS });
});
const changed = (change: (db: Database.Database) => void) => changedCopy(full, change);

function refusalOf(from: string): string {
  try {
    restored(from);
  } catch (cause) {
    expect(cause).toMatchObject({ code: 'bad-backup' });
    return cause instanceof Error ? cause.message : '';
  }
  return 'was restored';
}

describe('what a file holds besides the tables of a record is not copied and is named', () => {
  const strange: readonly (readonly [string, string, string])[] = [
    [
      'a trigger that empties the places when a row is put in',
      'CREATE TRIGGER evil AFTER INSERT ON probe BEGIN DELETE FROM place; END',
      'the trigger evil',
    ],
    ['a view', 'CREATE VIEW passwords AS SELECT name, password FROM account', 'the view passwords'],
    ['a table', 'CREATE TABLE loot (a); INSERT INTO loot VALUES (1)', 'the table loot'],
    ['a virtual table', 'CREATE VIRTUAL TABLE words USING fts5(a)', 'the virtual table words'],
    [
      'an index on what takes for ever',
      'CREATE INDEX slow ON place (length(hex(zeroblob(10))))',
      'the index slow',
    ],
    ['a column', "ALTER TABLE place ADD COLUMN extra TEXT DEFAULT 'x'", 'the column extra of place'],
    [
      'a column that is computed by what the file says',
      'ALTER TABLE place ADD COLUMN made TEXT GENERATED ALWAYS AS (hex(zeroblob(100))) VIRTUAL',
      'the column made of place',
    ],
  ];
  test.each(strange)('%s', (_name, sql, words) => {
    const { to, report } = restored(changed((db) => void db.exec(sql)));
    expect(report.strange).toContain(words);
    expect(isComplete(report)).toBe(false);
    expect(restoreLines(report).join('\n')).toContain(`not copied: ${words}`);
    const made =
      "SELECT count(*) FROM sqlite_schema WHERE name IN ('evil', 'passwords', 'loot', 'words', 'slow')";
    expect(valueIn(to, made)).toBe(0);
    expect(valueIn(to, 'SELECT count(*) FROM place')).toBe(2);
    expect(valueIn(to, "SELECT count(*) FROM pragma_table_xinfo('place')")).toBe(6);
  });

  test('1,100 tables are refused', () => {
    const tables = Array.from({ length: 1_100 }, (_, i) => `CREATE TABLE t${i} (a);`).join('');
    expect(refusalOf(changed((db) => void db.exec(tables)))).toContain('more than 1000 tables');
  });

  test('a view in the place of a table is refused', () => {
    const sql = 'ALTER TABLE diary_entry RENAME TO other; CREATE VIEW diary_entry AS SELECT * FROM other';
    expect(refusalOf(changed((db) => void db.exec(sql)))).toContain('the table diary_entry is not there');
  });

  test('a table without one of its columns is refused', () => {
    const sql = 'ALTER TABLE diary_entry DROP COLUMN note';
    expect(refusalOf(changed((db) => void db.exec(sql)))).toContain('has no column note');
  });
});

describe('a file is refused that', () => {
  const overwritten = (file: string, table: string): void => {
    const root = Number(valueIn(file, `SELECT rootpage FROM sqlite_schema WHERE name = '${table}'`));
    const pageBytes = Number(valueIn(file, 'SELECT page_size FROM pragma_page_size'));
    const bytes = readFileSync(file);
    bytes.fill(0xff, (root - 1) * pageBytes, (root - 1) * pageBytes + 64);
    writeFileSync(file, bytes);
  };
  const refusals: readonly (readonly [string, (file: string) => void, string])[] = [
    ['is no database', (file) => writeFileSync(file, 'no database '.repeat(99)), 'no SQLite database'],
    ['is shorter than a head', (file) => writeFileSync(file, 'SQLite format 3\0'), 'no SQLite database'],
    [
      'is cut off',
      (file) => truncateSync(file, Math.floor(readFileSync(file).length / 1024) * 512),
      'cut off',
    ],
    ['has a damaged page', (file) => overwritten(file, 'sealed'), 'damaged'],
    ['is of another program by its id', (file) => run(file, 'PRAGMA application_id = 77'), 'another program'],
    [
      'is of another program by its tables',
      (file) => run(file, 'DROP TABLE migration'),
      'no record of Strikewell',
    ],
    [
      'is of a newer version',
      (file) => run(file, "INSERT INTO migration VALUES (9999, 'later.sql', 'x', 1)"),
      'newer or altered version ("later.sql")',
    ],
    [
      'was made after now by the clock of this computer',
      (file) => run(file, `UPDATE migration SET applied_ms = ${NOW_MS + 400 * 86_400_000}`),
      'set the clock',
    ],
  ];
  test.each(refusals)('%s', (_name, change, why) => {
    const file = join(temporaryFolder('refused'), 'refused.db');
    copyFileSync(full, file);
    change(file);
    expect(refusalOf(file)).toContain(why);
  });

  test('is a symbolic link, a folder or a pipe', () => {
    const folder = temporaryFolder('links');
    const link = join(folder, 'link.db');
    symlinkSync(full, link);
    const inside = join(folder, 'folder.db');
    mkdirSync(inside);
    for (const [from, why] of [
      [link, 'symbolic link'],
      [inside, 'no plain file'],
      ['/dev/zero', 'no plain file'],
    ] as const)
      expect(() => copyForeign({ from, to: join(folder, 'copy.db') }, quiet)).toThrow(
        expect.objectContaining({ code: 'bad-backup', message: expect.stringContaining(why) }),
      );
  });
});

function run(file: string, sql: string): void {
  const db = new Database(file);
  db.exec(sql);
  db.close();
}

test('a place whose targets are gone is given those of a new place, so that the daemon starts', () => {
  const { to, report } = restored(changed((db) => void db.exec('DELETE FROM targets')));
  expect(report.remarks).toEqual(
    ['"bench-1"', '"old"'].map((row) => ({
      table: 'targets',
      row,
      kind: 'changed',
      why: 'the place had no targets, so it has those of a new place',
    })),
  );
  expect(report.tables).toContainEqual(expect.objectContaining({ table: 'targets', copied: 2, changed: 2 }));
  expect(valueIn(to, "SELECT body ->> '$.dayStart' FROM targets")).toMatch(/^\d\d:\d\d$/);
});
