import packageFile from '../../package.json' with { type: 'json' };
import { Fault } from '../../shared/faults.ts';
import { damageOf, sizeOf } from '../adapters/sqlite/file/check.ts';
import { inspectRecord, type RecordFacts } from '../adapters/sqlite/file/inspect.ts';
import { inspectAccess } from '../adapters/sqlite/file/inspect-access.ts';
import { inspectClock } from '../adapters/sqlite/file/inspect-clock.ts';
import { lockHolder } from '../adapters/sqlite/file/lock.ts';
import { systemClock as clock } from '../adapters/system/clock.ts';
import { holdsBytes } from '../adapters/system/files/aside.ts';
import { backupFolder } from '../adapters/system/files/backup-folder.ts';
import { answersAt } from '../adapters/system/files/disk.ts';
import { fileKeep, mayBeWritten } from '../adapters/system/files/files.ts';
import { reserveFile } from '../adapters/system/files/reserve.ts';
import type { Settings } from '../config.ts';
import { roomNow } from '../daemon/upkeep/disk-space.ts';
import { LAST_RUNNING } from '../daemon/upkeep/downtime.ts';
import { isLoopback } from '../domain/access/address.ts';
import { type ClockFacts, futureFromMs } from '../domain/doctor/clock.ts';
import { type Examined, findings } from '../domain/doctor/findings.ts';
import type { Finding } from '../domain/doctor/line.ts';
import { KEPT_AS, readKept } from '../domain/topics/kept.ts';
import { pageState } from '../page-state.ts';
import { roomOf } from './backup.ts';
import type { Command } from './command.ts';
import { recordFileIn } from './record-file.ts';

/** Examines an installation without changing it, beside a running daemon or without one. */
export const doctor: Command = {
  summary: 'check the installation and list what needs attention; exit code 1 when something does',
  usage: '[--json] [--config FILE]',
  options: { json: { type: 'boolean' } },
  async run({ settings, values, words, say }) {
    if (words.length > 0) {
      throw new Fault({
        code: 'bad-request',
        message: `"${words.join(' ')}" is an unexpected argument.`,
      });
    }
    const examined = await examine(settings);
    const lines = findings(examined);
    const well = lines.every(({ remedy }) => remedy === null);
    if (values['json']) say(JSON.stringify({ well, lines, examined }, null, 2));
    else for (const text of page(lines)) say(text);
    return { code: well ? 0 : 1 };
  },
};

async function examine(settings: Settings): Promise<Examined> {
  const { dataDir, timeZone, backupAt } = settings;
  const folder = backupFolder(dataDir);
  const finished = folder.list().filter(({ verified }) => verified);
  const newest = finished.toSorted((a, b) => b.atMs - a.atMs)[0] ?? null;
  const record = recordOf(dataDir);
  const nowMs = clock.nowMs();
  const madeMs = record?.facts?.madeMs ?? nowMs;
  const daily = backupAt !== null;
  const roomDeps = { room: roomOf(dataDir), finished: () => finished, clock, zone: timeZone, daily, madeMs };
  return {
    nowMs,
    version: packageFile.version,
    node: process.versions.node,
    timeZone,
    dataDir,
    writable: mayBeWritten(dataDir),
    reserve: record && reserveFile(dataDir).facts(),
    running: lockHolder(dataDir),
    ports: await portsOf(settings),
    record,
    misspelt: readKept(fileKeep(dataDir).read(KEPT_AS)),
    clock: record && record.damage === null ? clockOf(dataDir, record.file, nowMs) : null,
    access: record && record.damage === null ? accessStateOf(settings, record.file) : null,
    backups: { count: finished.length, newestMs: newest?.atMs ?? null, dailyAt: backupAt },
    newestBackup: newest && folder.pathOf(newest.name),
    page: pageState(),
    room: record && { ...roomNow(roomDeps), readings: keptOf(settings, record) },
  };
}

function clockOf(dataDir: string, file: string, nowMs: number): ClockFacts {
  const lastRunning = fileKeep(dataDir).read(LAST_RUNNING);
  const lastRunningMs = lastRunning === null ? Number.NaN : Number(lastRunning);
  return {
    ...inspectClock(file, futureFromMs(nowMs)),
    lastRunningMs: Number.isFinite(lastRunningMs) ? lastRunningMs : null,
  };
}

function accessStateOf(settings: Settings, file: string): Examined['access'] {
  const counts = inspectAccess(file, clock.nowMs());
  if (counts === null) return null;
  const { host, tls, trustedProxies, outsideBroker, publicUrl } = settings;
  return {
    ...counts,
    pageHost: publicUrl === null ? null : new URL(publicUrl).hostname,
    host,
    loopback: isLoopback(host),
    tls: tls !== null,
    proxied: trustedProxies.length > 0,
    broker: outsideBroker !== null ? 'outside' : embeddedPorts(settings),
  };
}

function embeddedPorts({ tls, mqttPort, mqttsPort }: Settings): 'plain' | 'both' | 'encrypted' {
  if (mqttPort === null) return 'encrypted';
  return tls !== null && mqttsPort !== null ? 'both' : 'plain';
}

function keptOf({ keepRawDays }: Settings, record: NonNullable<Examined['record']>) {
  const fromMs = record.facts?.readingsFromMs ?? null;
  return { keepDays: keepRawDays, from: fromMs === null ? null : new Date(fromMs).toISOString() };
}

function recordOf(dataDir: string): Examined['record'] {
  const file = recordFileIn(dataDir);
  if (!holdsBytes(file)) return null;
  const { databaseBytes: fileBytes, walBytes } = sizeOf(file);
  const damage = damageOf(file, 'quick');
  return {
    file,
    damage,
    facts: damage === null ? countedFacts(inspectRecord(file)) : null,
    fileBytes,
    walBytes,
  };
}

function countedFacts({ counts, ...facts }: RecordFacts) {
  const { places, probes, sealedReadings, openGroups, alarms, refusedKept } = counts;
  const named = {
    places,
    probes,
    alarms,
    'readings sealed': sealedReadings,
    'groups of readings not sealed yet': openGroups,
    'rejected messages kept': refusedKept,
  };
  return { ...facts, counts: named };
}

async function portsOf(settings: Settings): Promise<Examined['ports']> {
  const { host, httpPort, mqttPort, mqttsPort, tls, outsideBroker } = settings;
  const page = { name: 'page', host, port: httpPort, ours: true };
  const plain = mqttPort === null ? [] : [{ name: 'broker', host, port: mqttPort, ours: true }];
  const broker =
    outsideBroker === null ? plain : [{ name: 'your broker', ours: false, ...addressOf(outsideBroker.url) }];
  const encrypted =
    outsideBroker === null && tls !== null && mqttsPort !== null
      ? [{ name: 'broker, encrypted', host, port: mqttsPort, ours: true }]
      : [];
  return Promise.all(
    [page, ...broker, ...encrypted].map(async ({ name, ours, ...at }) => ({
      name,
      ours,
      address: `${at.host}:${at.port}`,
      answers: await answersAt(at),
    })),
  );
}

function addressOf(url: string): { host: string; port: number } {
  const { hostname, port, protocol } = new URL(url);
  const usual = protocol === 'mqtts:' ? 8883 : 1883;
  return { host: hostname.replace(/^\[|\]$/g, ''), port: port === '' ? usual : Number(port) };
}

/** Names of lines as people read them; `--json` keeps the short ones, which scripts look for. */
const LABELS: Readonly<Record<string, string>> = {
  holds: 'contents',
  integrity: 'database check',
  room: 'disk space',
  reserve: 'disk reserve',
  'built page': 'page files',
};

function labelOf({ of }: Finding): string {
  return LABELS[of] ?? of;
}

function page(lines: readonly Finding[]): string[] {
  const width = Math.max(...lines.map((one) => labelOf(one).length));
  const texts = lines.flatMap((one) => {
    const { found, remedy } = one;
    const text = `${remedy === null ? '  ' : '! '}${labelOf(one).padEnd(width)}  ${found}`;
    return remedy === null ? [text] : [text, `  ${' '.repeat(width)}  → ${remedy}`];
  });
  const hands = lines.filter(({ remedy }) => remedy !== null).length;
  return [...texts, hands === 0 ? 'All is well.' : `Needs attention: ${hands}.`];
}
