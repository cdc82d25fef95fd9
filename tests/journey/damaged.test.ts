import { copyFileSync, existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, onTestFinished, test } from 'vitest';
import { openDatabase } from '../../server/adapters/sqlite/database.ts';
import { runCommand } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { held, packOf } from '../support/packs.ts';
import { openRecord } from '../support/record.ts';

const startMs = Math.floor(Date.now() / 1000) * 1000 - 3_600_000;

/** A daemon with 61 readings, backed up after the first 31, and stopped. */
async function stopped(): Promise<Daemon> {
  const daemon = await startDaemon();
  onTestFinished(() => daemon.close());
  await report(daemon, { fromMs: startMs, toMs: startMs + 30 * 60_000 });
  expect(await runCommand(['backup'], settingsOf(daemon))).toMatchObject({ code: 0 });
  await report(daemon, { fromMs: startMs + 31 * 60_000, toMs: startMs + 60 * 60_000 });
  await daemon.stop();
  return daemon;
}

async function report({ mqttUrl }: Daemon, span: { fromMs: number; toMs: number }): Promise<void> {
  const device = await connectPublisher({ url: mqttUrl });
  const points = held({ probe: 'air/temperature', unit: 'Cel', value: 21, ...span, everyMs: 60_000 });
  await device.publish({ topic: 'strikewell/1/bench-1/readings', payload: packOf(points) });
  await device.close();
}

const settingsOf = (daemon: Daemon) => ({
  STRIKEWELL_DATA_DIR: daemon.dataDir,
  STRIKEWELL_HTTP_PORT: String(daemon.httpPort),
  STRIKEWELL_MQTT_PORT: String(daemon.mqttPort),
});
const serve = (daemon: Daemon) => runCommand(['serve'], settingsOf(daemon));
const fileOf = (daemon: Daemon) => join(daemon.dataDir, 'strikewell.db');
const asideIn = (daemon: Daemon) =>
  readdirSync(daemon.dataDir).filter((name) => name.startsWith('strikewell.db.damaged-'));
/** The words of the command a message ends in. */
const commandIn = (message: string): string[] =>
  /strikewell (restore \S+)/.exec(message)?.[1]?.split(' ') ?? [];

const damages: readonly (readonly [string, (file: string) => void])[] = [
  // bytes 100 to 107 are the header of the first page of the schema (SQLite documentation, file format)
  ['8 flipped bytes in the first page', (file) => flip(file, 100, 108)],
  ['every page from the 3rd on lost', (file) => writeFileSync(file, readFileSync(file).subarray(0, 8_192))],
  ['text in its place', (file) => writeFileSync(file, 'not a database '.repeat(500))],
];

function flip(file: string, from: number, to: number): void {
  const bytes = readFileSync(file);
  for (let at = from; at < to; at += 1) bytes.writeUInt8(bytes.readUInt8(at) ^ 0xff, at);
  writeFileSync(file, bytes);
}

describe('a record with', () => {
  test.each(damages)(
    '%s is set aside untouched, again nothing is begun at the next start, and the command it names brings back 31 readings',
    async (_name, damage) => {
      const daemon = await stopped();
      damage(fileOf(daemon));
      const damaged = readFileSync(fileOf(daemon));
      const first = await serve(daemon);
      expect([first.code, first.stderr.trim().split('\n').length]).toEqual([2, 1]);
      expect(first.stderr).toMatch(/is damaged .* set aside untouched/);
      const [aside = ''] = asideIn(daemon);
      expect(first.stderr).toContain(join(daemon.dataDir, aside));
      expect(readFileSync(join(daemon.dataDir, aside)).equals(damaged)).toBe(true);

      const second = await serve(daemon);
      expect([second.code, second.stderr.trim().split('\n').length]).toEqual([2, 1]);
      expect(existsSync(fileOf(daemon))).toBe(false);
      expect(commandIn(second.stderr)).toEqual(commandIn(first.stderr));

      expect(await runCommand(commandIn(first.stderr), settingsOf(daemon))).toMatchObject({ code: 0 });
      await daemon.start();
      const record = openRecord(daemon.dataDir);
      expect([record.count('bench-1'), record.integrity()]).toEqual([31, 'ok']);
      record.close();
      expect(readFileSync(join(daemon.dataDir, aside)).equals(damaged)).toBe(true);
    },
  );
});

test('a log that was not written into the damaged file yet is set aside with it', async () => {
  const daemon = await stopped();
  await daemon.start();
  await report(daemon, { fromMs: startMs + 3_601_000, toMs: startMs + 3_601_000 });
  await daemon.kill();
  const wal = readFileSync(`${fileOf(daemon)}-wal`);
  writeFileSync(fileOf(daemon), 'not a database '.repeat(500));
  const { code, stderr } = await serve(daemon);
  expect(code).toBe(2);
  expect(stderr).toContain('is damaged');
  const [file = ''] = asideIn(daemon);
  expect(readFileSync(join(daemon.dataDir, `${file}-wal`)).equals(wal)).toBe(true);
  expect(existsSync(`${fileOf(daemon)}-wal`)).toBe(false);
});

test('a record that is gone, or is 0 bytes long, is not begun again beside its backups', async () => {
  const daemon = await stopped();
  copyFileSync(fileOf(daemon), join(daemon.dataDir, 'elsewhere.db'));
  writeFileSync(fileOf(daemon), '');
  const { code, stderr } = await serve(daemon);
  expect([code, stderr.trim().split('\n').length]).toEqual([2, 1]);
  expect(stderr).toContain('but there was one');
  expect(await runCommand(commandIn(stderr), settingsOf(daemon))).toMatchObject({ code: 0 });
  await daemon.start();
});

test('damage in a record of 40 MB, checked beside the running daemon, ends it with exit code 2 and the same message', async () => {
  const daemon = await stopped();
  const db = openDatabase({ file: fileOf(daemon), nowMs: Date.now() });
  const add = db.prepare(
    "INSERT INTO refused (at_ms, code, reason, topic, bytes, payload, kept_bytes) VALUES (0, 'not-json', '', '', 1000, ?, 1000)",
  );
  db.transaction(() => {
    for (let n = 0; n < 40_000; n += 1) add.run('x'.repeat(1_000));
  })();
  db.close();
  // some pages of that table in the middle of the file, whole
  flip(fileOf(daemon), 20_480_000, 20_484_096);
  const { code, stderr, stdout } = await serve(daemon);
  expect(stdout).toContain('Strikewell watches');
  expect(code).toBe(2);
  expect(stderr.trim().split('\n').at(-1)).toMatch(/is damaged .* strikewell restore /);
  expect(asideIn(daemon)).toHaveLength(1);
});
