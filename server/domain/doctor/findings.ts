import type { PageState, Room } from '../../../shared/wire/http.ts';
import { bytesText } from '../../../shared/words/bytes.ts';
import { keptWords } from '../../../shared/words/kept.ts';
import type { KeptTopic } from '../topics/kept.ts';
import { type AccessState, accessLines } from './access.ts';
import { ageText } from './age.ts';
import { type ClockFacts, clockLine } from './clock.ts';
import { type Finding, line } from './line.ts';
import { topicLines } from './topics.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** From here on something needs a hand. */
const SILENT_AFTER_MS = HOUR_MS;
const BACKUP_OLD_MS = 2 * DAY_MS;
const BACKUP_OLD_BY_HAND_MS = 30 * DAY_MS;
const WAL_LARGE_BYTES = 64 * 1024 * 1024;
const DAYS_LEFT_FEW = 30;
const FREE_FEW_BYTES = 64 * 1024 * 1024;

/** What was checked; `record` is null where there is none. */
export type Examined = {
  readonly nowMs: number;
  readonly version: string;
  readonly node: string;
  readonly timeZone: string;
  readonly dataDir: string;
  /** whether the data folder may be written */
  readonly writable: boolean;
  /** disk space held back for alarms, and how much is wanted; null where it is not known */
  readonly reserve: { readonly bytes: number; readonly wantedBytes: number } | null;
  /** the daemon that holds the data folder; `elsewhere`: of another container or machine */
  readonly running: {
    readonly pid: number | null;
    readonly host: string | null;
    readonly elsewhere: boolean;
  } | null;
  readonly ports: readonly {
    readonly name: string;
    readonly address: string;
    readonly ours: boolean;
    readonly answers: boolean;
  }[];
  readonly record: {
    readonly file: string;
    /** what is wrong with it, or null; then the rest may be missing */
    readonly damage: string | null;
    readonly facts: {
      readonly migrations: {
        readonly applied: number;
        readonly known: number;
        readonly unknown: string | null;
      };
      readonly counts: Readonly<Record<string, number>>;
      readonly newestMs: number | null;
      readonly madeMs: number | null;
      readonly readingsFromMs?: number | null;
      readonly defaulted?: readonly string[];
    } | null;
    readonly fileBytes: number;
    readonly walBytes: number;
  } | null;
  /** what the record says of the clock; null where there is none that can be read */
  readonly clock?: ClockFacts | null;
  /** the state of access; null where there is no record, or an older one */
  readonly access: AccessState | null;
  readonly backups: {
    readonly count: number;
    readonly newestMs: number | null;
    readonly dailyAt: string | null;
  };
  /** topics that nothing reads and that resemble ours, as the daemon last noted them */
  readonly misspelt?: readonly KeptTopic[];
  readonly newestBackup: string | null;
  readonly page: PageState;
  readonly room: Room | null;
};

/** What there is to say of an installation, line by line. */
export function findings(examined: Examined): Finding[] {
  const { version, node, timeZone } = examined;
  return [
    line('version', `${version} on Node ${node}`),
    line('time zone', timeZone),
    ...(examined.clock ? [clockLine(examined.clock, examined.nowMs)] : []),
    running(examined),
    ...examined.ports.map((port) => portLine(port, examined)),
    folderLine(examined),
    ...recordLines(examined),
    ...topicLines(examined.misspelt ?? [], examined.nowMs),
    ...(examined.access ? accessLines(examined.access) : []),
    backupLine(examined),
    ...(examined.room ? [roomLine(examined.room)] : []),
    pageLine(examined.page),
    ...reserveLines(examined),
  ];
}

function folderLine({ dataDir, writable }: Examined): Finding {
  if (writable) return line('data folder', dataDir);
  return line(
    'data folder',
    `${dataDir}, cannot be written: readings are judged in memory and not stored`,
    'Check the disk and its mount, and who owns the folder.',
  );
}

function reserveLines({ reserve, record, running }: Examined): Finding[] {
  if (reserve === null || record === null) return [];
  const { bytes, wantedBytes } = reserve;
  if (bytes > 0) return [line('reserve', `${bytesText(bytes)} held back for alarms on a full disk`)];
  const wanted = bytesText(wantedBytes);
  if (running === null) return [line('reserve', `none: a start holds back ${wanted} for alarms`)];
  return [
    line(
      'reserve',
      'none: alarms may not be stored once the disk is full',
      `Free more than ${wanted} on the disk.`,
    ),
  ];
}

function pageLine(page: PageState): Finding {
  const found = {
    current: 'built',
    older: 'older than its sources; it is served as it is',
    missing: 'not built; readings are recorded and people are notified without it',
  }[page];
  return line('built page', found, page === 'current' ? null : 'Run npm ci, then npm start.');
}

function running({ running: holder }: Examined): Finding {
  if (holder === null)
    return line(
      'daemon',
      'not running: nothing is being monitored',
      'Start it: npm start, or strikewell serve.',
    );
  if (holder.pid === null) return line('daemon', 'running');
  const where = holder.elsewhere ? ` of another container or machine, ${holder.host}` : '';
  return line('daemon', `running, process ${holder.pid}${where}`);
}

function portLine(port: Examined['ports'][number], { running: holder }: Examined): Finding {
  const { name, address, ours, answers } = port;
  if (!ours) {
    const remedy = `Check that ${address} is right and that the broker is running.`;
    return answers ? line(name, `${address} answers`) : line(name, `${address} does not answer`, remedy);
  }
  if (holder !== null) {
    const remedy = 'Check that the daemon was started with these settings, or restart it.';
    return answers ? line(name, `${address} answers`) : line(name, `${address} does not answer`, remedy);
  }
  const remedy = `Another program listens on ${address}: stop it, or choose another port.`;
  return answers ? line(name, `${address} is in use`, remedy) : line(name, `${address} is free`);
}

function recordLines(examined: Examined): Finding[] {
  const { record } = examined;
  if (record === null) return [line('record', 'none yet', 'Start strikewell once, or restore a backup.')];
  const { file, damage, facts, fileBytes, walBytes } = record;
  const size = line('record', `${file}, ${bytesText(fileBytes)}`);
  return [size, soundness(damage, examined), walLine(walBytes), ...(facts ? factLines(facts, examined) : [])];
}

function soundness(damage: string | null, { newestBackup }: Examined): Finding {
  if (damage === null) return line('integrity', 'sound');
  const remedy =
    newestBackup === null
      ? 'There is no backup. Stop the daemon and keep the file: what is readable in it may be saved.'
      : `Stop the daemon, then: strikewell restore ${newestBackup} --overwrite`;
  return line('integrity', `damaged: ${damage}`, remedy);
}

function walLine(walBytes: number): Finding {
  const large = walBytes > WAL_LARGE_BYTES;
  const remedy = large ? 'Another program keeps reading the record; stop it, or restart the daemon.' : null;
  return line('write-ahead log', bytesText(walBytes), remedy);
}

type Facts = NonNullable<NonNullable<Examined['record']>['facts']>;

function factLines({ migrations, counts, newestMs, defaulted = [] }: Facts, { nowMs }: Examined): Finding[] {
  const { applied, known, unknown } = migrations;
  const strange = `${applied} applied; ${unknown} is not known to this version`;
  const remedy = 'Run the version that wrote the record, or restore a backup of this one.';
  const counted = Object.entries(counts).map(([of, count]) => `${count} ${of}`);
  const old = newestMs !== null && nowMs - newestMs > SILENT_AFTER_MS;
  const silent = old
    ? 'Look at the sensors, their power and their broker; the Probes page says which.'
    : null;
  return [
    unknown === null ? line('migrations', `${applied} of ${known}`) : line('migrations', strange, remedy),
    line('holds', counted.join(', ')),
    ...(defaulted.length === 0 ? [] : [settingsLine(defaulted)]),
    newestMs === null
      ? line('newest reading', 'none yet')
      : line(
          'newest reading',
          `${new Date(newestMs).toISOString()}, ${newestMs > nowMs ? 'in the future' : `${ageText(nowMs - newestMs)} ago`}`,
          silent,
        ),
  ];
}

function settingsLine(defaulted: readonly string[]): Finding {
  const found = `out of range, so the defaults are used: ${defaulted.join('; ')}`;
  return line('settings', found, 'Check them on the page and save them again.');
}

function backupLine({ backups, record, nowMs }: Examined): Finding {
  const { count, newestMs, dailyAt } = backups;
  const when = dailyAt === null ? 'none made automatically' : `daily at ${dailyAt}`;
  const limitMs = dailyAt === null ? BACKUP_OLD_BY_HAND_MS : BACKUP_OLD_MS;
  const remedy = 'Make one: strikewell backup. Then see in the log why none was made.';
  if (newestMs === null) {
    const madeMs = record?.facts?.madeMs ?? nowMs;
    return line('backups', `none; ${when}`, nowMs - madeMs > limitMs ? remedy : null);
  }
  const ageMs = nowMs - newestMs;
  const found = `${count}, the newest ${ageText(ageMs)} old; ${when}`;
  return line('backups', found, ageMs > limitMs ? remedy : null);
}

function roomLine({ databaseBytes, freeBytes, bytesPerDay, daysLeft, readings }: Room): Finding {
  const few =
    freeBytes < Math.max(FREE_FEW_BYTES, databaseBytes) || (daysLeft ?? DAYS_LEFT_FEW) < DAYS_LEFT_FEW;
  const forecast =
    bytesPerDay === null || daysLeft === null
      ? 'no forecast before a day of record'
      : `${bytesText(bytesPerDay)} more a day, full in ${daysLeft >= 730 ? '2 years or more' : `${daysLeft} days`}`;
  const remedy = few ? 'Free disk space, or move backups and other files to another disk.' : null;
  return line(
    'room',
    `${readings ? `${keptWords(readings)}; ` : ''}${bytesText(freeBytes)} free; ${forecast}`,
    remedy,
  );
}
