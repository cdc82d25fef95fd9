import { mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { openDatabase } from '../../../../../server/adapters/sqlite/database.ts';
import { sizeOf } from '../../../../../server/adapters/sqlite/file/check.ts';
import { copierOf } from '../../../../../server/adapters/sqlite/file/jobs.ts';
import { backupFolder } from '../../../../../server/adapters/system/files/backup-folder.ts';
import { backupPhotos } from '../../../../../server/commands/backup-photos.ts';
import { createBackups } from '../../../../../server/daemon/upkeep/backups.ts';
import { backupName } from '../../../../../server/domain/backups/name.ts';
import { until } from '../../../../support/wait.ts';
import { clockByHand, readableLog } from '../../support/hand.ts';
import { databaseFile, START_MS } from '../../support/house.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const MB = 1024 * 1024;

/** Backups of a real record of a few rows, by a clock moved by hand from 1 June 2026, 10:00 UTC. */
function lifeCycle({
  freeBytes = 1_000 * MB,
  dailyAt = '03:30',
  madeMs = START_MS,
}: {
  freeBytes?: number;
  dailyAt?: string | null;
  madeMs?: number;
} = {}) {
  const file = databaseFile();
  const db = openDatabase({ file, nowMs: START_MS });
  db.exec("INSERT INTO place (id, name, kind, invented, settings) VALUES ('b', 'b', 'bench', 0, '{}')");
  db.close();
  const hand = clockByHand(START_MS);
  const log = readableLog();
  const room = { freeBytes };
  const folder = join(dirname(file), 'backups');
  const backups = createBackups({
    copy: copierOf(file),
    folder: backupFolder(dirname(file)),
    photos: backupPhotos(dirname(file)),
    log,
    dailyAt,
    madeMs,
    room: () => ({ ...sizeOf(file), freeBytes: room.freeBytes }),
    clock: hand.clock,
    timers: hand.timers,
    zone: 'UTC',
  });
  const names = () => (sizeOfFolder(folder) === 0 ? [] : readdirSync(folder).sort());
  const settled = () =>
    until(() => (backups.facts().running ? null : true), { what: 'end of the backup', withinMs: 20_000 });
  return { file, folder, hand, log, room, backups, names, settled };
}

function sizeOfFolder(folder: string): number {
  mkdirSync(folder, { recursive: true });
  return readdirSync(folder).length;
}

describe('by the clock', () => {
  test('the first is made at 03:30 of the next day, none before, and 1 a day from then on', async () => {
    const { backups, hand, names, settled } = lifeCycle();
    backups.begin();
    hand.pass(17.5 * HOUR_MS - 10_000);
    expect(backups.facts().running).toBe(false);
    hand.pass(10_000);
    expect(backups.facts().running).toBe(true);
    await settled();
    expect(names()).toEqual(['strikewell-20260602T033000Z.db']);
    expect(backups.facts()).toEqual({
      lastAt: '2026-06-02T03:30:00.000Z',
      running: false,
      progressPct: null,
      lastError: null,
    });
    hand.pass(DAY_MS - 10_000);
    expect(backups.facts().running).toBe(false);
    hand.pass(10_000);
    await settled();
    expect(names()).toEqual(['strikewell-20260602T033000Z.db', 'strikewell-20260603T033000Z.db']);
  });

  test('one missed while the daemon was away, 26 h after the last, is made within 10 s of the start', async () => {
    const { backups, hand, folder, names, settled } = lifeCycle({ madeMs: START_MS - 30 * DAY_MS });
    mkdirSync(folder, { recursive: true });
    const last = backupName(START_MS - 26 * HOUR_MS);
    writeFileSync(join(folder, last), 'an old one');
    backups.begin();
    hand.pass(10_000);
    await settled();
    // the last is of 31 May, 08:00: the 03:30 of 1 June was missed
    expect(names()).toEqual([last, 'strikewell-20260601T100010Z.db']);
  });

  test('with none wanted by itself none is made in 3 days, and one by order is', async () => {
    const { backups, hand, names, settled } = lifeCycle({ dailyAt: null });
    backups.begin();
    hand.pass(3 * DAY_MS);
    expect(backups.facts().running).toBe(false);
    backups.start();
    await settled();
    expect(names()).toEqual(['strikewell-20260604T100000Z.db']);
  });
});

describe('what goes wrong', () => {
  test('without room for the copy and 16 MiB besides it fails with backup-failed, and is tried again an hour later', async () => {
    const { backups, hand, room, names, log } = lifeCycle({ freeBytes: 16 * MB });
    await expect(backups.make()).rejects.toMatchObject({ code: 'backup-failed' });
    expect(backups.facts().lastError).toContain('wants 17 MB free');
    expect(names()).toEqual([]);
    backups.begin();
    hand.pass(DAY_MS);
    await until(() => (log.lines.length > 0 ? true : null), { what: 'failure', withinMs: 5_000 });
    // from 03:30 to 10:00, once an hour
    expect(log.lines.filter(({ level }) => level === 'error')).toHaveLength(7);
    room.freeBytes = 1_000 * MB;
    hand.pass(HOUR_MS);
    await until(() => (names().length === 1 ? true : null), { what: 'backup', withinMs: 20_000 });
    await until(() => (backups.facts().running ? null : true), { what: 'end', withinMs: 20_000 });
    expect(backups.facts().lastError).toBeNull();
  });

  test('a damaged record gives no backup, leaves none behind, and drops no old one', async () => {
    const { backups, file, folder, names } = lifeCycle();
    mkdirSync(folder, { recursive: true });
    const old = backupName(START_MS - 400 * DAY_MS);
    writeFileSync(join(folder, old), 'an old one');
    const db = new Database(file);
    db.exec("INSERT INTO journal (body) VALUES (x'0102030405060708')");
    db.close();
    await expect(backups.make()).rejects.toMatchObject({ code: 'backup-failed' });
    expect(names()).toEqual([old]);
  });

  test('what a process that is gone left unfinished goes with the next backup, what a living one writes stays', async () => {
    const { backups, folder, names } = lifeCycle();
    mkdirSync(folder, { recursive: true });
    const name = backupName(START_MS - HOUR_MS);
    // 2^22 is the most a process can be numbered on Linux (proc(5), pid_max)
    const [gone, living] = [`${name}.4194305.partial`, `${name}.${process.ppid}.partial`];
    for (const left of [gone, `${gone}-journal`, living]) writeFileSync(join(folder, left), 'half');
    expect(backups.answer().backups.map(({ verified }) => verified)).toEqual([false, false]);
    await backups.make();
    expect(names()).toEqual([living, backupName(START_MS)]);
  });
});

test('a 2nd order while one is under way makes no 2nd backup, and an end in its middle leaves nothing', async () => {
  const { backups, names } = lifeCycle();
  const [first, second] = [backups.make(), backups.make()];
  expect(backups.answer().running).toEqual({ name: backupName(START_MS), progressPct: 0 });
  expect(await first).toEqual(await second);
  const cutOff = backups.make().catch((cause: unknown) => cause);
  await backups.stop();
  expect(await cutOff).toMatchObject({ code: 'backup-failed' });
  expect(names()).toEqual([backupName(START_MS)]);
});
