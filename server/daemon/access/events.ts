import { Fault } from '../../../shared/faults.ts';
import { type AccessEventClass, classOf } from '../../../shared/model/people/access-event.ts';
import type { AccessEvent, AccessEventsAnswer } from '../../../shared/wire/access.ts';
import { addressGroup } from '../../domain/access/address.ts';
import type { AccessRecord, Clock, KeptAccessEvent, NewAccessEvent } from '../../ports.ts';

/** Sign-ins and refusals of one kind, account and address within so long are one row, ms. */
export const FOLD_MS = 60_000;
/** Most rows gathered in that time; further addresses share one. */
export const MAX_FOLDED = 20;
/** Most rows that wait while the record cannot be written; the oldest are lost. */
const MAX_UNWRITTEN = 200;
const SEVERAL = 'several';
const MAX_TEXT_CHARACTERS = 64;

type Row = Omit<KeptAccessEvent, 'id'>;

/** What was gathered since the first of its minute, which was written at once. */
type Minute = { readonly sinceMs: number; readonly rows: Map<string, Row> };

/**
 * Keeps what happened at sign-in. Changes are written at once; so is the first sign-in and the first refusal of a
 * minute, the others of it together at its end: however many passwords are tried, that is written twice a minute.
 */
export function createEvents({ record, clock }: { record: AccessRecord; clock: Clock }) {
  const minutes = new Map<AccessEventClass, Minute>();
  let unwritten: Row[] = [];

  const write = (rows: readonly Row[]) => {
    unwritten = [...unwritten, ...rows].slice(-MAX_UNWRITTEN);
    if (unwritten.length === 0) return;
    try {
      record.addAccessEvents(unwritten);
      unwritten = [];
    } catch (cause) {
      // what happened at sign-in waits until the record can be written; the door itself works on
      if (!(cause instanceof Fault) || cause.code !== 'store-failed') throw cause;
    }
  };
  const settle = (how: 'due' | 'all') => {
    const over = [...minutes].filter(([, { sinceMs }]) => how === 'all' || isOver(sinceMs, clock.nowMs()));
    for (const [kind] of over) minutes.delete(kind);
    write(over.flatMap(([, { rows }]) => [...rows.values()]));
  };
  const fold = (row: Row) => {
    settle('due');
    const minute = minutes.get(classOf(row.kind));
    if (minute) return gather(minute.rows, row);
    minutes.set(classOf(row.kind), { sinceMs: row.atMs, rows: new Map() });
    write([row]);
  };
  return {
    note(event: NewAccessEvent) {
      const row = rowOf(event, clock.nowMs());
      if (classOf(event.kind) === 'change') write([row]);
      else fold(row);
    },
    settle,
    events({ limit, beforeId }: { limit: number; beforeId: number | null }): AccessEventsAnswer {
      settle('all');
      const rows = record.accessEvents({ limit: limit + 1, beforeId });
      const shown = rows.slice(0, limit);
      const last = shown.at(-1);
      return { events: shown.map(eventOf), next: rows.length > limit && last ? String(last.id) : null };
    },
  };
}

function isOver(sinceMs: number, nowMs: number): boolean {
  return Math.abs(nowMs - sinceMs) >= FOLD_MS;
}

function gather(rows: Map<string, Row>, row: Row): void {
  const known = rows.has(keyOf(row)) || rows.size < MAX_FOLDED;
  const kept = known ? row : { ...row, who: null, address: SEVERAL };
  const before = rows.get(keyOf(kept));
  rows.set(keyOf(kept), before ? { ...before, atMs: row.atMs, count: before.count + 1 } : kept);
}

/** An IPv6 household shares a row, as it shares its delays. */
function keyOf({ kind, who, address }: Row): string {
  return JSON.stringify([
    kind,
    who,
    address === null || address === SEVERAL ? address : addressGroup(address),
  ]);
}

function rowOf({ kind, who, whom, address, note }: NewAccessEvent, atMs: number): Row {
  return {
    kind,
    firstMs: atMs,
    atMs,
    count: 1,
    who: plain(who),
    whom: plain(whom ?? null),
    address: plain(address),
    note: plain(note ?? null),
  };
}

function plain(text: string | null): string | null {
  const kept = text?.replaceAll(/\p{C}/gu, '').slice(0, MAX_TEXT_CHARACTERS) ?? '';
  return kept === '' ? null : kept;
}

function eventOf({ firstMs, atMs, ...row }: KeptAccessEvent): AccessEvent {
  return { ...row, from: new Date(firstMs).toISOString(), at: new Date(atMs).toISOString() };
}
