import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createMeasures } from '../../../../server/adapters/metrics/metrics.ts';
import { parquetColumns } from '../../../../server/adapters/parquet/parquet.ts';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { photoFolder } from '../../../../server/adapters/system/files/photos.ts';
import { createSeal } from '../../../../server/adapters/system/seal.ts';
import { createDaemon } from '../../../../server/daemon/daemon.ts';
import type { DaemonDeps } from '../../../../server/daemon/deps.ts';
import type {
  Bus,
  Carrier,
  Keep,
  ListenAt,
  LiveFeed,
  PhotoFolder,
  RawMessage,
  RecordStore,
} from '../../../../server/ports.ts';
import { type TargetSheet, targetSheetSchema } from '../../../../shared/model/targets.ts';
import { temporaryFolder } from '../../../support/folders.ts';
import { checkPublished } from '../../../support/sent-check.ts';
import { clockByHand, type Hand, readableLog } from './hand.ts';

/** 2026-06-01 10:00 UTC: a Monday on which no clock changes anywhere. */
export const START_MS = Date.UTC(2026, 5, 1, 10);

const targetSheetFile = new URL(
  '../../../../seeds/targets/general-herbaceous-bottom-heat.json',
  import.meta.url,
);
export const TARGET_SHEET_FILE: TargetSheet = targetSheetSchema.parse(
  JSON.parse(readFileSync(targetSheetFile, 'utf8')),
);

/** The key links are signed with in these tests. */
export const LINK_KEY = Buffer.alloc(32, 9).toString('base64');

/** A new database file in a folder of its own. */
export function databaseFile(): string {
  return join(temporaryFolder('store'), 'strikewell.db');
}

/** A record as devices send it, with its time in seconds. */
export type SentRecord = {
  readonly n: string;
  readonly u?: string;
  readonly v?: number;
  readonly vb?: boolean;
  readonly t?: number;
};

/** A pack of a device as it comes through the door. */
export function packOf(
  records: readonly SentRecord[],
  {
    device = 'bench-1',
    arrivedAtMs = START_MS,
  }: { readonly device?: string; readonly arrivedAtMs?: number } = {},
): RawMessage {
  return {
    topic: `strikewell/1/${device}/readings`,
    payload: new TextEncoder().encode(JSON.stringify(records)),
    arrivedAtMs,
    retainedCopy: false,
  };
}

export type House = ReturnType<typeof startHouse>;

export type HouseOptions = {
  readonly store?: RecordStore;
  readonly hand?: Hand;
  readonly timeZone?: string;
  /** hands messages over; with one, the webhook of the house is set */
  readonly carrier?: Carrier;
  readonly webhookUrl?: string | null;
  readonly keep?: Keep;
  readonly photos?: PhotoFolder;
  readonly ping?: () => Promise<void>;
  readonly keepRawDays?: number;
  readonly onFilters?: (filters: readonly string[]) => void;
  readonly listenAt?: ListenAt;
};

/**
 * The real daemon on a real database, with clock and timers moved by hand and its edges noting what they are sent.
 *
 * @param options a store, clock, time zone or carrier other than the usual
 * @returns the daemon and its edges
 */
export function startHouse(options: HouseOptions = {}) {
  const hand = options.hand ?? clockByHand(START_MS);
  const store = options.store ?? openStore({ file: databaseFile(), nowMs: hand.clock.nowMs() });
  const log = readableLog();
  const keep = options.keep ?? keepInMemory();
  const sent: { kind: keyof LiveFeed; what: unknown }[] = [];
  const published: { topic: string; payload: string }[] = [];
  const note = (kind: keyof LiveFeed) => (what: unknown) => void sent.push({ kind, what });
  const deps: DaemonDeps = {
    store,
    clock: hand.clock,
    timers: hand.timers,
    log,
    targetSheet: TARGET_SHEET_FILE,
    feed: {
      now: note('now'),
      place: note('place'),
      placeGone: note('placeGone'),
      alarm: note('alarm'),
      house: note('house'),
      foreignCounts: note('foreignCounts'),
    },
    ways: contactMethodsOf(options),
    links: { publicUrl: 'https://bench.example', seal: createSeal(LINK_KEY) },
    timeZone: options.timeZone ?? 'UTC',
    keepRawDays: options.keepRawDays ?? null,
    onFilters: options.onFilters ?? (() => undefined),
    listenAt: options.listenAt ?? null,
    sourceText: (key) => key,
    keep,
    ...outsideLibraries(),
    photos: options.photos ?? photoFolder(join(temporaryFolder('photos'), 'strikewell.db')),
    ping: options.ping ?? null,
    edges: edgesHere,
  };
  const bus: Bus = {
    publishRetained(topic, payload) {
      checkPublished({ topic, payload });
      published.push({ topic, payload });
    },
    connected: () => true,
    close: () => Promise.resolve(),
  };
  const daemon = createDaemon(deps);
  daemon.start(bus);
  return {
    daemon,
    store,
    hand,
    log,
    sent,
    published,
    keep,
    /** Sends a message and waits until it was stored, or refused unacknowledged. */
    async send(message: RawMessage): Promise<void> {
      const taken = daemon.inbox.offer(message);
      hand.settle();
      await taken;
    },
    /** Sends a pack of bench-1 that arrives now. */
    async report(records: readonly SentRecord[], device = 'bench-1'): Promise<void> {
      await this.send(packOf(records, { device, arrivedAtMs: hand.clock.nowMs() }));
    },
  };
}

function outsideLibraries(): Pick<DaemonDeps, 'columns' | 'measures'> {
  return { columns: parquetColumns, measures: createMeasures() };
}

function edgesHere(): ReturnType<DaemonDeps['edges']> {
  return {
    version: '0',
    broker: { embedded: true, address: '', connected: true },
    demo: { running: false, progressPct: null },
    backup: { lastAt: null, running: false, progressPct: null, lastError: null },
    room: { databaseBytes: 0, freeBytes: 0, bytesPerDay: null, daysLeft: null },
  };
}

/** Ways over a carrier that takes everything unless another is given. */
function contactMethodsOf({ carrier, webhookUrl }: HouseOptions): DaemonDeps['ways'] {
  const url = webhookUrl === undefined && carrier ? 'http://127.0.0.1:1/' : (webhookUrl ?? null);
  return {
    carrier: carrier ?? { send: () => Promise.resolve({ delivered: true }) },
    installationWebhook: url === null ? null : { kind: 'webhook', url },
    can: { mail: true, webhook: true, push: true },
    pushKey: null,
    webhookSecret: 'whsec_c2VjcmV0',
    isOwnHost: () => false,
  };
}

/** Notes that last as long as the object. */
export function keepInMemory(): Keep {
  const notes = new Map<string, string>();
  return {
    read: (name) => notes.get(name) ?? null,
    write: (name, text) => void notes.set(name, text),
    remove: (name) => void notes.delete(name),
  };
}

/** One air temperature, °C, read now unless its age (s) says otherwise. */
export function airRecord(
  valueC: number,
  { ageS = 0, probe = '' }: { ageS?: number; probe?: string } = {},
): SentRecord {
  return { n: `air/temperature${probe}`, u: 'Cel', v: valueC, ...(ageS === 0 ? {} : { t: -ageS }) };
}
