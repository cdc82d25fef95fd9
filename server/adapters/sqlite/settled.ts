import type { Reading } from '../../../shared/model/probe.ts';
import { CLOUD_MS } from '../../domain/calendar/nights.ts';
import { fetchMarginMs } from '../../domain/exposures/exposures.ts';
import { SUMS_BYTES, SUMS_VERSION } from '../../domain/exposures/hour-sums.ts';
import type { Settled, SettledHour } from '../../ports.ts';
import type { Db } from './database.ts';
import { hourOf } from './open-hours.ts';

type Row = { hour: number; sums: Uint8Array };
type Reach = { readonly placeId: string; readonly marginMs: number };

/** What the store must do to settled hours when readings come or places change. */
export type SettledHours = Settled & {
  /** Forgets the hours that readings of a transaction bear on, inside that transaction. */
  readingsCame(readings: readonly Reading[]): void;
  /** Reads probes and places anew. */
  reload(): void;
};

/**
 * How far a reading bears on the hours around it, ms: through interpolation, and, where light makes the day,
 * through the clouds it may bridge.
 */
export function reachMs(settings: { readonly maxGapMs: number }): number {
  return fetchMarginMs(settings) + CLOUD_MS;
}

function statements(db: Db) {
  const span = db.prepare<[string, number, number, number], Row>(
    'SELECT hour, sums FROM settled WHERE place_id = ? AND hour BETWEEN ? AND ? AND formula = ? ORDER BY hour',
  );
  const put = db.prepare(
    'INSERT OR REPLACE INTO settled (place_id, hour, formula, targets, sums) VALUES (?, ?, ?, ?, ?)',
  );
  const forget = db.prepare<[string, number, number]>(
    'DELETE FROM settled WHERE place_id = ? AND hour BETWEEN ? AND ?',
  );
  const forgetAll = db.prepare('DELETE FROM settled');
  const newest = db.prepare<[string, number], { hour: number | null }>(
    'SELECT max(hour) AS hour FROM settled WHERE place_id = ? AND formula = ?',
  );
  const reaches = db.prepare<[], { id: number; placeId: string; maxGapMs: number }>(
    `SELECT probe.id, place.id AS placeId, json_extract(place.settings, '$.maxGapMs') AS maxGapMs
     FROM probe JOIN place ON place.id = probe.place_id`,
  );
  return { span, put, forget, forgetAll, newest, reaches };
}

/** Settled hours in SQLite. */
export function sqliteSettled(db: Db): SettledHours {
  const { span, put, forget, forgetAll, newest, reaches } = statements(db);
  let known: Map<number, Reach> | null = null;
  const newestHours = new Map<string, number>();

  const reachOf = (probeId: number): Reach | undefined => {
    known ??= new Map(
      reaches.all().map(({ id, placeId, maxGapMs }) => [id, { placeId, marginMs: reachMs({ maxGapMs }) }]),
    );
    return known.get(probeId);
  };
  const newestOf = (placeId: string): number => {
    const hour =
      newestHours.get(placeId) ?? newest.get(placeId, SUMS_VERSION)?.hour ?? Number.NEGATIVE_INFINITY;
    newestHours.set(placeId, hour);
    return hour;
  };

  return {
    get(placeId, { first, last }) {
      const rows = span.all(placeId, first, last, SUMS_VERSION);
      return new Map(rows.map(({ hour, sums }) => [hour, numbersOf(sums)]));
    },
    put(hours: readonly SettledHour[]) {
      for (const { placeId, hour, targetsEdit, sums } of hours) {
        put.run(
          placeId,
          hour,
          SUMS_VERSION,
          targetsEdit,
          new Uint8Array(sums.buffer, sums.byteOffset, sums.byteLength),
        );
        newestHours.set(placeId, Math.max(newestOf(placeId), hour));
      }
    },
    newestHour(placeId) {
      const hour = newestOf(placeId);
      return Number.isFinite(hour) ? hour : null;
    },
    forget(placeId, { first, last }) {
      forget.run(placeId, first, last);
      newestHours.delete(placeId);
    },
    forgetAll() {
      forgetAll.run();
      newestHours.clear();
    },
    readingsCame(readings) {
      const stale = staleHours(readings, { reachOf, newestOf });
      for (const { placeId, first, last } of stale) forget.run(placeId, first, last);
    },
    reload() {
      known = null;
      newestHours.clear();
    },
  };
}

type StaleHours = { readonly placeId: string; first: number; last: number };
type Reaches = {
  readonly reachOf: (probeId: number) => Reach | undefined;
  readonly newestOf: (placeId: string) => number;
};

/** The settled hours that readings bear on; those of readings that follow each other are told in one. */
function staleHours(readings: readonly Reading[], { reachOf, newestOf }: Reaches): StaleHours[] {
  const stale = new Map<string, StaleHours[]>();
  for (const { probeId, tMs } of readings) {
    const reach = reachOf(probeId);
    if (!reach) continue;
    const { placeId, marginMs } = reach;
    const [first, last] = [hourOf(tMs - marginMs), hourOf(tMs + marginMs)];
    if (first > newestOf(placeId)) continue;
    const spans = stale.get(placeId) ?? [];
    const span = spans.at(-1);
    if (span && first <= span.last + 1 && last >= span.first - 1) {
      span.first = Math.min(span.first, first);
      span.last = Math.max(span.last, last);
    } else spans.push({ placeId, first, last });
    stale.set(placeId, spans);
  }
  return [...stale.values()].flat();
}

/** The numbers in the bytes of a column, which need not lie where numbers may: then they are copied. */
function numbersOf(bytes: Uint8Array): Float64Array {
  const { buffer, byteOffset } = bytes;
  const count = SUMS_BYTES / Float64Array.BYTES_PER_ELEMENT;
  if (byteOffset % Float64Array.BYTES_PER_ELEMENT === 0) return new Float64Array(buffer, byteOffset, count);
  return new Float64Array(bytes.slice(0, SUMS_BYTES).buffer);
}
