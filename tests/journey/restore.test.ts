import { copyFileSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { openDatabase, readMigrations } from '../../server/adapters/sqlite/database.ts';
import { readTargets } from '../../server/domain/places/default-targets.ts';
import { askAs } from '../support/access.ts';
import { runCommand } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { temporaryFolder } from '../support/folders.ts';
import { makeFullRecord } from '../support/full-record.ts';

const OWNER = 'mist on the bench';
const reportSchema = z.object({
  tables: z.array(
    z.object({ table: z.string(), copied: z.number(), changed: z.number(), leftOut: z.number() }),
  ),
  remarks: z.array(z.object({ table: z.string(), row: z.string(), kind: z.string(), why: z.string() })),
});
const placesSchema = z.object({ places: z.array(z.object({ id: z.string(), name: z.string() })) });

/** A daemon that is down, on a data folder without a record. */
async function emptied(): Promise<Daemon> {
  const daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  onTestFinished(() => daemon.close());
  await daemon.stop();
  for (const name of readdirSync(daemon.dataDir)) rmSync(join(daemon.dataDir, name), { recursive: true });
  return daemon;
}

const restore = (daemon: Daemon, ...args: string[]) =>
  runCommand(['restore', ...args], { STRIKEWELL_DATA_DIR: daemon.dataDir });

async function fullFile(change: (db: Database.Database) => void = () => undefined): Promise<string> {
  const file = join(temporaryFolder('full'), 'record.db');
  await makeFullRecord(file, { nowMs: Date.now() });
  const db = new Database(file);
  change(db);
  db.close();
  return file;
}

/** What the interface says of everything that does not move by itself. */
async function answersOf(daemon: Daemon): Promise<unknown> {
  const signIn = { name: 'owner', password: OWNER };
  const { cookie } = await askAs(`${daemon.httpUrl}/api/v1/access/sign-in`, { method: 'POST', body: signIn });
  const paths = [
    '/places',
    '/places/bench-1/targets',
    '/archive',
    '/checks',
    '/mappings',
    '/waiting',
    '/refused',
    '/people',
    '/access/accounts',
  ];
  const said = paths.map(async (path) => {
    const { status, text } = await askAs(`${daemon.httpUrl}/api/v1${path}`, { method: 'GET', cookie });
    expect([path, status]).toEqual([path, 200]);
    // since when it listens, and what became of messages meanwhile
    const { since: _since, failing: _failing, ...body } = z.looseObject({}).parse(JSON.parse(text));
    return [path, body];
  });
  return Promise.all(said);
}

test('a record full of everything is restored with exit code 0, and the daemon on it answers as the one before', async () => {
  const file = await fullFile();
  const [before, after] = [await emptied(), await emptied()];
  copyFileSync(file, join(before.dataDir, 'strikewell.db'));
  const { code, stdout } = await restore(after, file);
  expect(stdout).toContain('places: 2 restored\n');
  expect(stdout).toContain(`Restored ${file} as ${join(after.dataDir, 'strikewell.db')}.`);
  expect(code).toBe(0);
  expect(readdirSync(after.dataDir).filter((name) => /backup-copy|restoring/.test(name))).toEqual([]);
  for (const daemon of [before, after]) await daemon.start();
  expect(await answersOf(after)).toEqual(await answersOf(before));
});

test('a file with a trigger, a name of 8 MB and settings out of range is restored with exit code 1, says what it left out, and the daemon starts on it', async () => {
  const file = await fullFile((db) => {
    db.exec("UPDATE place SET settings = '{\"maxGapMs\":-5}' WHERE id = 'bench-1'");
    db.prepare("UPDATE place SET name = ? WHERE id = 'bench-1'").run('x'.repeat(8_000_000));
    db.exec('UPDATE diary_entry SET to_ms = 1; DELETE FROM account');
    db.exec('CREATE TRIGGER evil AFTER INSERT ON place BEGIN DELETE FROM place; END');
  });
  const daemon = await emptied();
  const { code, stdout } = await restore(daemon, file);
  expect(code).toBe(1);
  expect(stdout).toContain('places: 2 restored, 1 changed');
  expect(stdout).toContain(
    'entries of the diary: 0 restored, 1 left out\n  "bench-1" 1 left out: it ends before it begins',
  );
  expect(stdout).toContain('not copied: the trigger evil');
  expect(stdout).toContain('but not all of it: see above.');
  expect(stdout.length).toBeLessThan(5_000);
  await daemon.start();
  const { places } = await daemon.read('/api/v1/places', placesSchema);
  expect(places).toEqual([expect.objectContaining({ id: 'bench-1', name: 'bench-1' })]);
  await daemon.stop();
  const again = await restore(daemon, file, '--overwrite', '--json');
  const { tables, remarks } = reportSchema.parse(JSON.parse(again.stdout));
  expect(tables).toContainEqual({ table: 'diary_entry', copied: 0, changed: 0, leftOut: 1 });
  expect(remarks).toContainEqual(
    expect.objectContaining({ table: 'place', row: '"bench-1"', kind: 'changed' }),
  );
  await daemon.start();
});

test('of a backup of 20 MB the restore says how far it is', async () => {
  const file = await fullFile((db) => {
    const add = db.prepare(
      "INSERT INTO refused (at_ms, code, reason, topic, bytes, payload, kept_bytes) VALUES (0, 'not-json', '', '', 64000, ?, 64000)",
    );
    for (let n = 0; n < 320; n += 1) add.run('x'.repeat(64_000));
  });
  const { code, stderr } = await restore(await emptied(), file);
  expect(code).toBe(0);
  for (const phase of ['copying', 'checking', 'restoring'])
    expect(stderr).toMatch(new RegExp(`^${phase}: \\d+ %$`, 'm'));
});

test('settings that are no JSON leave their defaults, at a start named in the log, and by doctor with what to do', async () => {
  const daemon = await emptied();
  const file = join(daemon.dataDir, 'strikewell.db');
  // of before the migration that moves the settings of the ceiling
  const migrations = readMigrations().filter(({ version }) => version < 16);
  const db = openDatabase({ file, nowMs: Date.now(), migrations });
  db.exec(
    "INSERT INTO place (id, name, kind, invented, settings) VALUES ('bench-1', 'A', 'bench', 0, '{no')",
  );
  const [first] = readTargets(['']);
  const put = db.prepare(
    "INSERT INTO targets (place_id, from_ms, entered_ms, body) VALUES ('bench-1', 0, 0, ?)",
  );
  put.run(JSON.stringify(first?.targets));
  db.close();
  await daemon.start();
  expect(daemon.stdout() + daemon.stderr()).toContain('settings of the place \\"bench-1\\"');
  const doctor = await runCommand(['doctor'], {
    STRIKEWELL_DATA_DIR: daemon.dataDir,
    STRIKEWELL_HTTP_PORT: String(daemon.httpPort),
    STRIKEWELL_MQTT_PORT: String(daemon.mqttPort),
  });
  expect(doctor.code).toBe(1);
  expect(doctor.stdout).toContain('settings of the place "bench-1"');
  const settings = z.object({ settings: z.looseObject({ maxGapMs: z.number() }) });
  expect((await daemon.read('/api/v1/places/bench-1', settings)).settings.maxGapMs).toBe(900_000);
});
