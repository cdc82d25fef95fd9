import { copyFileSync, existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { openDatabase } from '../../server/adapters/sqlite/database.ts';
import { damageOf } from '../../server/adapters/sqlite/file/check.ts';
import { copyDatabase } from '../../server/adapters/sqlite/file/copy.ts';
import { checkBeside } from '../../server/adapters/sqlite/file/jobs.ts';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { removeCopy, setAside } from '../../server/adapters/system/files/aside.ts';
import { openRecord } from '../../server/commands/record-file.ts';
import { databaseFile } from '../unit/server/support/house.ts';
import { settle } from './opened.ts';

const HOUR_MS = 3_600_000;
const quiet = { onProgress: () => undefined };

/** A record of 1 probe with 200 sealed hours of 60 readings, and 30 readings not sealed. */
function madeRecord(): string {
  const file = databaseFile();
  const store = openStore({ file, nowMs: 0 });
  const probeId = settle(store);
  store.transaction(() => {
    for (let minute = 0; minute < 200 * 60; minute += 1)
      store.journal.append({ probeId, tMs: minute * 60_000, value: 20 + (minute % 50) / 10 });
  });
  while (store.journal.seal({ nowMs: 201 * HOUR_MS, limit: 50 }).more);
  store.transaction(() => {
    for (let minute = 0; minute < 30; minute += 1)
      store.journal.append({ probeId, tMs: 200 * HOUR_MS + minute * 60_000, value: 21 });
  });
  store.close();
  return file;
}

const countIn = (file: string, table: string): number => {
  const db = new Database(file, { readonly: true });
  const count = db.prepare<[], number>(`SELECT count(*) FROM ${table}`).pluck().get() ?? -1;
  db.close();
  return count;
};

/** Alters bytes of the first place at which a needle stands in a file. */
function alter(file: string, needle: Uint8Array, change: (bytes: Buffer, at: number) => void): void {
  const bytes = readFileSync(file);
  const at = bytes.indexOf(needle);
  expect(at).toBeGreaterThan(0);
  change(bytes, at);
  writeFileSync(file, bytes);
}

function blockIn(file: string): Uint8Array {
  const db = new Database(file, { readonly: true });
  const block = db.prepare<[], Uint8Array>('SELECT block FROM sealed LIMIT 1').pluck().get();
  db.close();
  if (block === undefined) throw new Error('no block');
  return block;
}

/** Fills the head of the page at which the table of sealed hours begins. */
function overwriteRoot(file: string): void {
  const db = new Database(file, { readonly: true });
  const page =
    db.prepare<[], number>("SELECT rootpage FROM sqlite_schema WHERE name = 'sealed'").pluck().get() ?? 0;
  const size = Number(db.pragma('page_size', { simple: true }));
  db.close();
  const bytes = readFileSync(file);
  bytes.fill(0xff, (page - 1) * size, (page - 1) * size + 64);
  writeFileSync(file, bytes);
}

describe('a copy', () => {
  test('made while another connection commits after every step holds each table as it was at 1 instant', async () => {
    const file = madeRecord();
    const to = `${file}.copy`;
    const writer = openDatabase({ file, nowMs: 0 });
    const add = writer.prepare(
      "INSERT INTO refused_count VALUES ('a' || (SELECT count(*) FROM refused_count), 1)",
    );
    let written = 0;
    const timer = setInterval(() => {
      add.run();
      written += 1;
    }, 1);
    const counts = await copyDatabase({ from: file, to, onProgress: () => void add.run() });
    clearInterval(timer);
    writer.close();
    expect(counts).toMatchObject({ sealed: 200, probe: 1, place: 1 });
    expect(countIn(to, 'refused_count')).toBe(counts['refused_count']);
    expect(countIn(file, 'refused_count')).toBeGreaterThan(counts['refused_count'] ?? 0);
    expect(written).toBeGreaterThan(0);
    expect(damageOf(to, 'whole')).toBeNull();
  });

  test('is 1 file that needs no log beside it, and reports progress from 0 to 50 % of the work', async () => {
    const file = madeRecord();
    const to = `${file}.copy`;
    const percents: number[] = [];
    await copyDatabase({ from: file, to, onProgress: (pct) => void percents.push(pct) });
    expect(percents.at(-1)).toBe(50);
    expect(percents).toEqual(percents.toSorted((a, b) => a - b));
    const beside = readdirSync(dirname(file)).filter((name) => name.startsWith('strikewell.db.copy'));
    expect(beside).toEqual(['strikewell.db.copy']);
    // SQLite documentation, database file format: bytes 18 and 19 are 1 without a write-ahead log, 2 with one
    expect([...readFileSync(to).subarray(18, 20)]).toEqual([1, 1]);
  });

  test('of a record with 1 altered byte in a sealed block is refused with backup-failed', async () => {
    const file = madeRecord();
    alter(file, blockIn(file), (bytes, at) => bytes.writeUInt8(bytes.readUInt8(at + 30) ^ 0x01, at + 30));
    const copied = copyDatabase({ from: file, to: `${file}.copy`, ...quiet });
    await expect(copied).rejects.toMatchObject({ code: 'backup-failed' });
  });

  test('of a file that is not there is refused with backup-failed', async () => {
    const from = databaseFile();
    const copied = copyDatabase({ from, to: `${from}.copy`, ...quiet });
    await expect(copied).rejects.toMatchObject({ code: 'backup-failed' });
  });
});

describe('a check', () => {
  test('of a sound file finds nothing, changes no byte, and leaves what its log holds in the log', () => {
    const file = madeRecord();
    const writer = openDatabase({ file, nowMs: 0 });
    writer.prepare("INSERT INTO refused_count VALUES ('a', 1)").run();
    const before = [readFileSync(file), readFileSync(`${file}-wal`)];
    for (const depth of ['light', 'quick', 'whole'] as const) expect(damageOf(file, depth)).toBeNull();
    expect([readFileSync(file), readFileSync(`${file}-wal`)]).toEqual(before);
    writer.close();
  });

  const damages: readonly (readonly [string, (file: string) => void])[] = [
    [
      '1 altered byte in a sealed block',
      (file) => alter(file, blockIn(file), (b, at) => void b.fill(0xaa, at + 30, at + 31)),
    ],
    ['the root page of the table of hours overwritten', overwriteRoot],
    [
      'the 2nd half cut off',
      (file) => writeFileSync(file, readFileSync(file).subarray(0, statSync(file).size / 2)),
    ],
    ['text in its place', (file) => writeFileSync(file, 'not a database '.repeat(500))],
  ];
  test.each(damages)('finds %s', async (_name, damage) => {
    const file = madeRecord();
    damage(file);
    const found = damageOf(file, 'quick');
    expect(found).not.toBeNull();
    expect(await checkBeside(file).done).toBe(found);
  });

  test('of a file that cannot be opened is store-failed, not damage', () => {
    expect(() => damageOf(dirname(databaseFile()), 'quick')).toThrow(/cannot be read/);
  });
});

function run(file: string, sql: string): void {
  const db = new Database(file);
  db.exec(sql);
  db.close();
}

describe('the record of a data folder', () => {
  const opening = (file: string) => () => openRecord({ dataDir: dirname(file), nowMs: 0 });
  const damaged = expect.objectContaining({ code: 'store-damaged' });

  test('with 1 altered byte in what is not sealed is store-damaged, at once also in a record of 17 MB', () => {
    for (const megabytes of [0, 17]) {
      const file = madeRecord();
      run(file, `INSERT INTO refused_count VALUES (printf('%.*c', ${megabytes} * 1000000, 'x'), 1)`);
      run(file, 'UPDATE journal SET body = substr(body, 1, length(body) - 1)');
      expect(opening(file)).toThrow(damaged);
      expect(opening(file)).toThrow(damaged);
    }
  });

  test('of 17 MB is opened before all of it is checked, a small one after', () => {
    const file = madeRecord();
    const small = opening(file)();
    small.store.close();
    run(file, "INSERT INTO refused_count VALUES (printf('%.*c', 17000000, 'x'), 1)");
    const large = opening(file)();
    large.store.close();
    expect([small.checked, large.checked]).toEqual([true, false]);
  });
});

test('what is set aside twice under 1 name keeps both, each with its log', () => {
  const file = madeRecord();
  const set = () => {
    writeFileSync(`${file}-wal`, 'log');
    return setAside({ file, suffix: '.damaged-20260601T100000Z' });
  };
  const first = set();
  copyFileSync(first, file);
  const second = set();
  expect([first, second].map((path) => path.slice(dirname(file).length + 1))).toEqual([
    'strikewell.db.damaged-20260601T100000Z',
    'strikewell.db.damaged-20260601T100000Z-2',
  ]);
  for (const path of [first, second, `${first}-wal`, `${second}-wal`]) expect(existsSync(path)).toBe(true);
  expect(existsSync(join(dirname(file), 'strikewell.db-wal'))).toBe(false);
  removeCopy(second);
  expect(existsSync(`${second}-wal`)).toBe(false);
});
