import { readFileSync } from 'node:fs';
import { createMeasures } from '../../server/adapters/metrics/metrics.ts';
import { parquetColumns } from '../../server/adapters/parquet/parquet.ts';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { photoFolder } from '../../server/adapters/system/files/photos.ts';
import { createDaemon } from '../../server/daemon/daemon.ts';
import type { RawMessage, Timers } from '../../server/ports.ts';
import { targetSheetSchema } from '../../shared/model/targets.ts';
import { clockByHand } from '../unit/server/support/hand.ts';

const targetSheetFile = new URL('../../seeds/targets/general-herbaceous-bottom-heat.json', import.meta.url);
export const TARGET_SHEET_FILE = targetSheetSchema.parse(JSON.parse(readFileSync(targetSheetFile, 'utf8')));
export const TIME_ZONE = 'Europe/Vienna';
/** 2025-06-01 00:00 UTC. */
export const DAY_START_MS = Date.UTC(2025, 5, 1);

const nothing = () => undefined;
const FEED = {
  now: nothing,
  place: nothing,
  placeGone: nothing,
  alarm: nothing,
  house: nothing,
  foreignCounts: nothing,
};
const BUS = { publishRetained: nothing, connected: () => true, close: () => Promise.resolve() };
const LOG = {
  info: nothing,
  warn: nothing,
  error: (message: string) => {
    throw new Error(message);
  },
};

/** Nobody is notified. */
const METHODS = {
  carrier: { send: () => Promise.resolve({ delivered: true } as const) },
  installationWebhook: null,
  can: { mail: false, webhook: false, push: false },
  pushKey: null,
  webhookSecret: '',
  isOwnHost: () => false,
};

/**
 * The real daemon on a real file, with its timers moved by hand, so that a day passes in a minute; nobody listens
 * at its edges.
 *
 * @param file of the record
 */
export function simulatedDaemon(file: string) {
  const hand = clockByHand(DAY_START_MS);
  const store = openStore({ file, nowMs: DAY_START_MS });
  let longestTurnMs = 0;
  const timed = (run: () => void) => () => {
    const startMs = performance.now();
    run();
    longestTurnMs = Math.max(longestTurnMs, performance.now() - startMs);
  };
  const timers: Timers = {
    after: (delayMs, run) => hand.timers.after(delayMs, timed(run)),
    every: (intervalMs, run) => hand.timers.every(intervalMs, timed(run)),
    soon: (run) => hand.timers.soon(timed(run)),
  };
  const daemon = createDaemon({
    ways: METHODS,
    links: { publicUrl: null, seal: { sign: (text) => text, read: (token) => token } },
    store,
    clock: hand.clock,
    timers,
    log: LOG,
    feed: FEED,
    targetSheet: TARGET_SHEET_FILE,
    timeZone: TIME_ZONE,
    keep: { read: () => null, write: () => undefined, remove: () => undefined },
    columns: parquetColumns,
    measures: createMeasures(),
    photos: photoFolder(file),
    sourceText: (key) => key,
    edges: () => ({
      version: '0',
      broker: { embedded: true, address: '', connected: true },
      demo: { running: false, progressPct: null },
      backup: { lastAt: null, running: false, progressPct: null, lastError: null },
      room: { databaseBytes: 0, freeBytes: 0, bytesPerDay: null, daysLeft: null },
    }),
  });
  daemon.start(BUS);
  return {
    store,
    hand,
    longestTurnMs: () => longestTurnMs,
    /** Messages that arrive together, and so share a commit. */
    async take(messages: readonly Omit<RawMessage, 'arrivedAtMs' | 'retainedCopy'>[]): Promise<void> {
      const arrivedAtMs = hand.clock.nowMs();
      const taken = messages.map((message) =>
        daemon.inbox.offer({ ...message, arrivedAtMs, retainedCopy: false }),
      );
      hand.settle();
      await Promise.all(taken);
      // as between any two turns: node's own tasks, small collections of garbage among them, wait for the event loop
      await new Promise((resolve) => setImmediate(resolve));
    },
    close() {
      daemon.stop();
      store.close();
    },
  };
}
