import { parquetColumns } from '../../../../server/adapters/parquet/parquet.ts';
import { systemTimers } from '../../../../server/adapters/system/clock.ts';
import { createExchange } from '../../../../server/daemon/services/exchange/exchange.ts';
import type { Exchange, ImportOrder, Store } from '../../../../server/ports.ts';
import { Fault } from '../../../../shared/faults.ts';
import { type House, START_MS, TARGET_SHEET_FILE } from './house.ts';

export const HOUR_MS = 3_600_000;
const iso = (atMs: number) => new Date(atMs).toISOString();
/** A file of CSV, stored as the device "logger". */
export const ORDER: ImportOrder = {
  as: 'csv',
  device: 'logger',
  dryRun: false,
  mapping: null,
  zone: null,
  repeatedHour: null,
  totalBytes: null,
};

/** The bytes of a text, piece by piece. */
export async function* bytesOf(text: string, pieceBytes = 4_096): AsyncGenerator<Uint8Array> {
  const bytes = new TextEncoder().encode(text);
  for (let at = 0; at < bytes.length; at += pieceBytes) yield bytes.subarray(at, at + pieceBytes);
}

/** Air temperatures a minute apart up to an hour ago, as a logger writes them. */
export function minutes(count: number, { lastMs = START_MS - HOUR_MS, valueC = 35 } = {}): string {
  const rows = Array.from({ length: count }, (_, i) => `${iso(lastMs - (count - 1 - i) * 60_000)},${valueC}`);
  return ['time,air/temperature [°C]', ...rows].join('\n');
}

/** The exchange of a house, with real pauses between its transactions. */
export function exchangeOf({ daemon, store, hand }: House, over: Store = store): Exchange {
  const { world, queries } = daemon;
  return createExchange({
    world,
    store: over,
    timeZone: 'UTC',
    targetSheet: TARGET_SHEET_FILE,
    clock: hand.clock,
    columns: parquetColumns,
    timers: systemTimers,
    exposuresIn: () => queries.exposures,
    placeChanged: daemon.placeChanged,
  });
}

/** How many readings a store holds. */
export const storedOf = (store: Store): number =>
  store.probes
    .all()
    .flatMap(({ id }) => store.journal.window({ probeIds: [id], fromMs: 0, toMs: START_MS * 2 }))
    .reduce((sum, { timesMs }) => sum + timesMs.length, 0);

/** The fault with which work ends. */
export async function faultOf(work: Promise<unknown>): Promise<Fault> {
  try {
    await work;
  } catch (cause) {
    if (cause instanceof Fault) return cause;
    throw cause;
  }
  throw new Error('it worked');
}
