import type { Window } from '../../../../shared/exposure/series.ts';
import { readPlaceSettings } from '../../../../shared/model/place.ts';
import type { Reading } from '../../../../shared/model/probes/probe.ts';
import { CLOUD_MS } from '../../../domain/calendar/nights.ts';
import { RAMP_REACH_MS } from '../../../domain/calendar/ramp.ts';
import { horizonMs } from '../../../domain/disk-space/horizon.ts';
import { fetchMarginMs } from '../../../domain/exposures/exposures.ts';
import { SUMS_VERSION } from '../../../domain/exposures/hour-sums.ts';
import { dayOf, decodeDay, encodeDay, type SettledPart } from '../../../domain/exposures/settled-day.ts';
import type { Settled } from '../../../ports.ts';
import type { Db } from '../database.ts';
import type { HorizonRow } from './horizon.ts';
import { HOUR_MS, hourOf } from './open-hours.ts';

type Row = { day: number; parts: Uint8Array };
type Reach = { readonly placeId: string; readonly marginMs: number };

/** What the store must do to settled parts when readings come or places change. */
export type SettledHours = Settled & {
  /** Forgets the parts that readings of a transaction bear on, inside that transaction. */
  readingsCame(readings: readonly Reading[]): void;
  /** Reads probes and places again. */
  reload(): void;
};

/**
 * How far a reading bears on the hours around it, ms: through interpolation, and, where light makes the day,
 * through the clouds it may bridge.
 */
function reachMs(settings: { readonly maxGapMs: number }): number {
  return fetchMarginMs(settings) + CLOUD_MS;
}

function statements(db: Db) {
  const span = db.prepare<[string, number, number], Row>(
    'SELECT day, parts FROM settled WHERE place_id = ? AND day BETWEEN ? AND ? ORDER BY day',
  );
  const put = db.prepare('INSERT OR REPLACE INTO settled (place_id, day, parts) VALUES (?, ?, ?)');
  const remove = db.prepare<[string, number]>('DELETE FROM settled WHERE place_id = ? AND day = ?');
  const places = db.prepare<[], string>('SELECT DISTINCT place_id FROM settled').pluck();
  const newest = db.prepare<[string], Row>(
    'SELECT day, parts FROM settled WHERE place_id = ? ORDER BY day DESC LIMIT 1',
  );
  const reaches = db.prepare<[], { id: number; placeId: string; settings: string }>(
    `SELECT probe.id, place.id AS placeId, place.settings
     FROM probe JOIN place ON place.id = probe.place_id`,
  );
  const days = db.prepare<[string, number, number], { fromMs: number; sums: Uint8Array }>(
    'SELECT from_ms AS fromMs, sums FROM settled_day WHERE place_id = ? AND from_ms >= ? AND from_ms < ? ORDER BY from_ms',
  );
  const putDay = db.prepare(
    'INSERT OR REPLACE INTO settled_day (place_id, from_ms, to_ms, sums) VALUES (?, ?, ?, ?)',
  );
  const removeDays = db.prepare<[string, number, number, number]>(
    'DELETE FROM settled_day WHERE place_id = ? AND from_ms >= ? AND from_ms < ? AND to_ms > ?',
  );
  return { days, putDay, removeDays, span, put, remove, places, newest, reaches };
}

type Statements = ReturnType<typeof statements>;

/** A day later than any, and one earlier. */
const LAST_DAY = Number.MAX_SAFE_INTEGER;

/** Settled exposures in SQLite, the parts of a day in one row. */
export function sqliteSettled(db: Db, horizon: HorizonRow): SettledHours {
  const prepared = statements(db);
  const { span, places } = prepared;
  const reaches = knownReaches(prepared);
  const newestHours = new Map<string, number>();

  const newestOf = (placeId: string): number => {
    const hour = newestHours.get(placeId) ?? newestIn(prepared, placeId);
    newestHours.set(placeId, hour);
    return hour;
  };
  const forget = (placeId: string, window: Window) => {
    // what cannot be counted again is never forgotten
    const fromMs = Math.max(window.fromMs, horizonMs(horizon.get()).countedFromMs);
    if (fromMs < window.toMs) forgetIn(prepared, placeId, { ...window, fromMs });
  };
  const counts = ({ formula, toMs }: SettledPart) =>
    formula === SUMS_VERSION || toMs <= horizonMs(horizon.get()).countedFromMs;

  return {
    get(placeId, window) {
      const rows = span.all(placeId, dayOf(window.fromMs), dayOf(window.toMs - 1));
      return byStart(
        rows.flatMap(({ day, parts }) => decodeDay(parts, day)),
        (part) => counts(part) && part.toMs > window.fromMs && part.fromMs < window.toMs,
      );
    },
    days(placeId, { fromMs, toMs }) {
      const rows = prepared.days.all(placeId, fromMs, toMs);
      return byStart(
        rows.flatMap((row) => decodeDay(row.sums, dayOf(row.fromMs))),
        counts,
      );
    },
    putDays(placeId, days) {
      for (const day of days) prepared.putDay.run(placeId, day.fromMs, day.toMs, encodeDay([day]));
    },
    put(placeId, parts) {
      putIn(prepared, placeId, parts);
      const lastMs = parts.reduce((latest, { toMs }) => Math.max(latest, toMs), 0);
      if (parts.length > 0) newestHours.set(placeId, Math.max(newestOf(placeId), hourOf(lastMs - 1)));
    },
    newestHour(placeId) {
      const hour = newestOf(placeId);
      return Number.isFinite(hour) ? hour : null;
    },
    forget(placeId, { first, last }) {
      forget(placeId, { fromMs: first * HOUR_MS, toMs: (last + 1) * HOUR_MS });
      newestHours.delete(placeId);
    },
    forgetAll() {
      for (const placeId of places.all()) forget(placeId, { fromMs: 0, toMs: Number.POSITIVE_INFINITY });
      newestHours.clear();
    },
    readingsCame(readings) {
      for (const { placeId, first, last } of staleHours(readings, { reachOf: reaches.of, newestOf }))
        forget(placeId, { fromMs: first * HOUR_MS, toMs: (last + 1) * HOUR_MS });
    },
    reload() {
      reaches.forget();
      newestHours.clear();
    },
  };
}

/** How far a reading of each probe bears on the hours of its place; read once, until it is forgotten. */
function knownReaches({ reaches }: Statements) {
  let known: Map<number, Reach> | null = null;
  return {
    of(probeId: number): Reach | undefined {
      known ??= new Map(
        reaches.all().map(({ id, placeId, settings: text }) => {
          const { settings } = readPlaceSettings(text);
          return [id, { placeId, marginMs: reachMs(settings) }];
        }),
      );
      return known.get(probeId);
    },
    forget(): void {
      known = null;
    },
  };
}

function byStart(parts: readonly SettledPart[], isMeant: (part: SettledPart) => boolean) {
  const found = new Map<number, SettledPart>();
  for (const part of parts) if (isMeant(part)) found.set(part.fromMs, part);
  return found;
}

function newestIn({ newest }: Statements, placeId: string): number {
  const row = newest.get(placeId);
  const last = row && decodeDay(row.parts, row.day).findLast(({ formula }) => formula === SUMS_VERSION);
  return last ? hourOf(last.toMs - 1) : Number.NEGATIVE_INFINITY;
}

/** Longer than any local day, ms. */
const LONG_DAY_MS = 30 * HOUR_MS;

/** Takes the parts of a place that touch a window out of their days. */
function forgetIn({ span, put, remove, removeDays }: Statements, placeId: string, window: Window): void {
  removeDays.run(placeId, window.fromMs - LONG_DAY_MS, window.toMs, window.fromMs);
  const lastDay = Number.isFinite(window.toMs) ? dayOf(window.toMs - 1) : LAST_DAY;
  for (const { day, parts } of span.all(placeId, dayOf(window.fromMs), Math.min(lastDay, LAST_DAY))) {
    const known = decodeDay(parts, day);
    const kept = known.filter(({ fromMs, toMs }) => toMs <= window.fromMs || fromMs >= window.toMs);
    if (kept.length === known.length) continue;
    if (kept.length === 0) remove.run(placeId, day);
    else put.run(placeId, day, encodeDay(kept));
  }
}

/** Puts parts into their days, in the place of any they overlap. */
function putIn({ span, put }: Statements, placeId: string, parts: readonly SettledPart[]): void {
  const byDay = Map.groupBy(parts, ({ fromMs }) => dayOf(fromMs));
  for (const [day, fresh] of byDay) {
    const [row] = span.all(placeId, day, day);
    const known = row ? decodeDay(row.parts, day) : [];
    const others = known.filter((one) =>
      fresh.every(({ fromMs, toMs }) => one.toMs <= fromMs || one.fromMs >= toMs),
    );
    const all = [...others, ...fresh].sort((a, b) => a.fromMs - b.fromMs);
    put.run(placeId, day, encodeDay(all));
  }
}

type StaleHours = { readonly placeId: string; first: number; last: number };
type Reaches = {
  readonly reachOf: (probeId: number) => Reach | undefined;
  readonly newestOf: (placeId: string) => number;
};

/** The settled hours that readings bear on; those of readings that follow each other are joined in one. */
function staleHours(readings: readonly Reading[], { reachOf, newestOf }: Reaches): StaleHours[] {
  const stale = new Map<string, StaleHours[]>();
  for (const { probeId, tMs } of readings) {
    const reach = reachOf(probeId);
    if (!reach) continue;
    const { placeId, marginMs } = reach;
    // where light makes the day, bands go on moving for hours after it turned
    const [first, last] = [hourOf(tMs - marginMs), hourOf(tMs + marginMs + RAMP_REACH_MS)];
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
