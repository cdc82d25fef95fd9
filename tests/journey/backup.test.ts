import { existsSync, mkdirSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { openDatabase } from '../../server/adapters/sqlite/database.ts';
import { launchBrowser } from '../support/browser.ts';
import { type Ended, runCommand } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { openPage, untilSays } from '../support/page.ts';
import { openRecord } from '../support/record.ts';
import { until } from '../support/wait.ts';
import { keyOf, type Storm, startStorm } from './storm.ts';

const backupsSchema = z.object({
  backups: z.array(z.object({ name: z.string(), bytes: z.number(), at: z.string(), verified: z.boolean() })),
  running: z.object({ name: z.string(), progressPct: z.number() }).nullable(),
  lastError: z.string().nullable(),
});
const houseSchema = z.object({
  backup: z.object({ lastAt: z.string().nullable(), running: z.boolean(), lastError: z.string().nullable() }),
  room: z.object({ databaseBytes: z.number(), freeBytes: z.number() }),
});

async function started(): Promise<Daemon> {
  const daemon = await startDaemon();
  onTestFinished(() => daemon.close());
  return daemon;
}

const on = (daemon: Daemon) => ({
  STRIKEWELL_DATA_DIR: daemon.dataDir,
  STRIKEWELL_HTTP_PORT: String(daemon.httpPort),
  STRIKEWELL_MQTT_PORT: String(daemon.mqttPort),
});
const strikewell = (daemon: Daemon, ...args: string[]): Promise<Ended> => runCommand(args, on(daemon));
const backupsIn = (daemon: Daemon): string[] => {
  const folder = join(daemon.dataDir, 'backups');
  return existsSync(folder) ? readdirSync(folder).sort() : [];
};
const backupDone = (daemon: Daemon) =>
  until(
    async () => {
      const answer = await daemon.read('/api/v1/backups', backupsSchema);
      return answer.running === null ? answer : null;
    },
    { what: 'end of the backup', withinMs: 30_000 },
  );
const blowing = (storm: Storm, more: number) => {
  const from = storm.acknowledged();
  const blown = () => (storm.acknowledged() > from + more ? true : null);
  return until(blown, { what: `${more} more readings`, withinMs: 30_000 });
};

/** Restores a backup over the record of a daemon that is down; returns the readings then, and those there were. */
async function restored(daemon: Daemon, file: string) {
  const before = openRecord(daemon.dataDir);
  const all = new Set(before.readings().map(keyOf));
  before.close();
  expect(await strikewell(daemon, 'restore', file, '--overwrite')).toMatchObject({ code: 0 });
  const record = openRecord(daemon.dataDir);
  const back = new Set(record.readings().map(keyOf));
  expect(record.integrity()).toBe('ok');
  record.close();
  return { all, back };
}

describe('in a storm of 4 devices', () => {
  test('a backup by HTTP and one by command hold all that was acknowledged before them, and nothing that was never sent', async () => {
    const daemon = await started();
    const broker = { url: daemon.mqttUrl };
    const storm = startStorm({ broker, clients: 4, underWay: 10, restMs: 0, seed: 7 });
    await blowing(storm, 2_000);
    const acknowledgedFirst = new Set(storm.acknowledgedKeys);
    const begun = await daemon.post('/api/v1/backups');
    expect(begun.status).toBe(202);
    const { backups } = await backupDone(daemon);
    expect(backups).toMatchObject([{ verified: true }]);
    await blowing(storm, 2_000);
    const acknowledgedSecond = new Set(storm.acknowledgedKeys);
    const { code, stdout, stderr } = await strikewell(daemon, 'backup', '--json');
    expect(code).toBe(0);
    expect(stderr).toMatch(/copying: 0 %/);
    const { path } = z.object({ path: z.string(), verified: z.literal(true) }).parse(JSON.parse(stdout));
    const house = await daemon.read('/api/v1/house', houseSchema);
    expect(house.backup).toMatchObject({ running: false, lastError: null });
    expect(house.room.databaseBytes).toBeGreaterThan(0);
    await storm.end();
    await daemon.stop();

    const second = await restored(daemon, path);
    expect([...acknowledgedSecond].filter((key) => !second.back.has(key))).toEqual([]);
    expect([...second.back].filter((key) => !second.all.has(key))).toEqual([]);
    // the second of a day takes the place of the first, which is why it must hold all of that too
    expect([...acknowledgedFirst].filter((key) => !second.back.has(key))).toEqual([]);
    console.log(`${acknowledgedSecond.size} acknowledged before the backup, ${second.back.size} in it`);
    await daemon.start();
  });
});

/** Fills a record to more than a size with packs that were refused, 64 KB each. */
function makeLarge(dataDir: string, megabytes: number): void {
  mkdirSync(dataDir, { recursive: true });
  const db = openDatabase({ file: join(dataDir, 'strikewell.db'), nowMs: Date.now() });
  const add = db.prepare(
    "INSERT INTO refused (at_ms, code, reason, topic, bytes, payload, kept_bytes) VALUES (0, 'not-json', '', '', 64000, ?, 64000)",
  );
  const payload = 'x'.repeat(64_000);
  db.transaction(() => {
    for (let n = 0; n < (megabytes * 1_000) / 64; n += 1) add.run(payload);
  })();
  db.close();
}

test('killed in the middle of a backup of 100 MB, no half file counts, and the next backup takes its place', async () => {
  const daemon = await started();
  await daemon.stop();
  makeLarge(daemon.dataDir, 100);
  await daemon.start();
  await daemon.post('/api/v1/backups');
  const half = await until(() => backupsIn(daemon).find((name) => name.endsWith('.partial')) ?? null, {
    what: 'half a backup',
    withinMs: 5_000,
    everyMs: 1,
  });
  expect(await daemon.kill()).toMatchObject({ signal: 'SIGKILL' });
  expect(backupsIn(daemon).filter((name) => name.endsWith('.db'))).toEqual([]);
  expect(backupsIn(daemon)).toContain(half);
  await daemon.start();
  const left = await daemon.read('/api/v1/backups', backupsSchema);
  expect(left.backups).toMatchObject([{ name: half, verified: false }]);
  expect((await daemon.read('/api/v1/house', houseSchema)).backup.lastAt).toBeNull();
  await daemon.post('/api/v1/backups');
  await backupDone(daemon);
  expect(backupsIn(daemon)).toHaveLength(1);
  expect(backupsIn(daemon)[0]).toMatch(/^strikewell-\d{8}T\d{6}Z\.db$/);
});

describe('a restore', () => {
  test('over a record wants --overwrite, exit code 2 and 1 line, and keeps what was there', async () => {
    const daemon = await started();
    const { stdout } = await strikewell(daemon, 'backup', '--json');
    const { path } = z.object({ path: z.string() }).parse(JSON.parse(stdout));
    const whileRunning = await strikewell(daemon, 'restore', path, '--overwrite');
    expect(whileRunning.code).toBe(2);
    expect(whileRunning.stderr).toContain(`process ${daemon.pid()}`);
    await daemon.stop();

    const refused = await strikewell(daemon, 'restore', path);
    expect([refused.code, refused.stderr.trim().split('\n').length]).toEqual([2, 1]);
    expect(refused.stderr).toContain('--overwrite');
    const before = readdirSync(daemon.dataDir).sort();
    expect(before).not.toContain('strikewell.lock.json');

    const marked = new Database(join(daemon.dataDir, 'strikewell.db'));
    marked.exec("INSERT INTO refused_count VALUES ('mark', 1)");
    marked.close();
    const done = await strikewell(daemon, 'restore', path, '--overwrite');
    expect(done.code).toBe(0);
    const aside = readdirSync(daemon.dataDir).find((name) =>
      /^strikewell\.db\.replaced-\d{8}T\d{6}Z$/.test(name),
    );
    const marks = (name: string) => {
      const db = new Database(join(daemon.dataDir, name), { readonly: true });
      const count = db.prepare<[], number>('SELECT count(*) FROM refused_count').pluck().get();
      db.close();
      return count;
    };
    expect([marks(aside ?? ''), marks('strikewell.db')]).toEqual([1, 0]);
    await daemon.start();
  });

  test('of half a backup is bad-backup, exit code 2, and leaves the folder as it was', async () => {
    const daemon = await started();
    await daemon.stop();
    const half = join(daemon.dataDir, 'half.db');
    const db = new Database(half);
    db.exec('CREATE TABLE probe (id)');
    db.close();
    const before = readdirSync(daemon.dataDir).sort();
    for (const [file, why] of [
      [half, 'no record of Strikewell'],
      [join(daemon.dataDir, 'none.db'), 'no backup'],
    ] as const) {
      const { code, stderr } = await strikewell(daemon, 'restore', file, '--overwrite');
      expect([code, stderr.trim().split('\n').length]).toEqual([2, 1]);
      expect(stderr).toContain(why);
    }
    expect(readdirSync(daemon.dataDir).sort()).toEqual(before);
  });
});

test('the button on the System page makes 1 backup, and the page says when', async () => {
  const daemon = await started();
  const browser = await launchBrowser();
  onTestFinished(() => browser.close());
  const { page, complaints } = await openPage(browser, { url: `${daemon.httpUrl}/#/house` });
  await untilSays(page, { selector: '.backups', text: /There is no backup yet/ });
  await page.locator('[data-testid="make-backup"]').click();
  await untilSays(page, { selector: '.backups', text: /The newest proved backup was made/ });
  expect(backupsIn(daemon)).toHaveLength(1);
  expect(complaints()).toEqual([]);
});

test('a 2nd daemon on the data folder of the 1st is refused with exit code 2 and 1 line that names its process', async () => {
  const daemon = await started();
  const { code, stderr } = await runCommand(['serve'], { ...on(daemon), STRIKEWELL_HTTP_PORT: '1' });
  expect([code, stderr.trim().split('\n').length]).toEqual([2, 1]);
  expect(stderr).toContain(`process ${daemon.pid()}`);
  await daemon.kill();
  await daemon.start();
});

test('doctor says 0 beside a daemon that is well, 1 with the remedy once it is down, and changes no file', async () => {
  const daemon = await started();
  const well = await strikewell(daemon, 'doctor');
  expect(well).toMatchObject({ code: 0, stderr: '' });
  expect(well.stdout).toContain('All is well.');
  await daemon.stop();
  const before = readdirSync(daemon.dataDir).filter((name) => !/-(wal|shm)$/.test(name));
  const down = await strikewell(daemon, 'doctor', '--json');
  expect(down.code).toBe(1);
  const lines = z.object({
    well: z.literal(false),
    lines: z.array(z.object({ of: z.string(), remedy: z.string().nullable() })),
  });
  const hands = lines.parse(JSON.parse(down.stdout)).lines.filter(({ remedy }) => remedy !== null);
  expect(hands.map(({ of }) => of)).toEqual(['daemon']);
  expect(readdirSync(daemon.dataDir).filter((name) => !/-(wal|shm)$/.test(name))).toEqual(before);
  await daemon.start();
});
