import { Fault } from '../../../shared/faults.ts';

/** Most rows of one part of a list. */
export const MAX_LIMIT = 1_000;

/** How much of a list is asked for: `limit` null for all of it, `cursor` null for its start. */
export type Paging = { readonly limit: number | null; readonly cursor: string | null };

type Key = string | number;
type Order<T> = { readonly keyOf: (row: T) => Key; readonly newestFirst?: boolean };

/**
 * `limit` and `cursor` of a query.
 * @throws Fault `bad-request` naming the parameter
 */
export function readPaging(query: Readonly<Record<string, unknown>>): Paging {
  const { limit, cursor } = query;
  if (cursor !== undefined && (typeof cursor !== 'string' || cursor.length > 200 || limit === undefined))
    throw badRequest('cursor', '"cursor" must be the `next` of an earlier answer, with a `limit` beside it.');
  if (limit === undefined) return { limit: null, cursor: null };
  const rows = typeof limit === 'string' && /^\d{1,4}$/.test(limit) ? Number(limit) : 0;
  if (rows < 1 || rows > MAX_LIMIT)
    throw badRequest('limit', `"limit" must be a whole number from 1 to ${MAX_LIMIT}.`);
  return { limit: rows, cursor: cursor ?? null };
}

/**
 * A part of a list in the order of its keys, from after the cursor on. A key is looked for by its order, so that what
 * is removed between two questions makes no gap and no repeat.
 * @returns its rows, and the `next` to ask on with, null at the end; without a limit all rows as they are
 */
export function pageOf<T>(rows: readonly T[], { limit, cursor }: Paging, order: Order<T>) {
  if (limit === null) return { rows, next: {} };
  const { keyOf, newestFirst = false } = order;
  const sorted = rows.toSorted((a, b) => compare(keyOf(a), keyOf(b)) * (newestFirst ? -1 : 1));
  const numeric = typeof (sorted[0] === undefined ? '' : keyOf(sorted[0])) === 'number';
  const after = cursor === null ? null : readCursor(cursor, numeric);
  const beyond = (row: T) => after === null || compare(keyOf(row), after) * (newestFirst ? -1 : 1) > 0;
  const left = sorted.filter(beyond);
  const part = left.slice(0, limit);
  const last = part.at(-1);
  const next = left.length > part.length && last !== undefined ? writeCursor(keyOf(last)) : null;
  return { rows: part, next: { next } };
}

/** A number that a cursor stands for. @throws Fault `bad-request` */
export function numberIn(cursor: string): number {
  return Number(readCursor(cursor, true));
}

export function writeCursor(key: Key): string {
  return Buffer.from(String(key)).toString('base64url');
}

function readCursor(cursor: string, numeric: boolean): Key {
  const text = Buffer.from(cursor, 'base64url').toString();
  if (writeCursor(text) === cursor && (!numeric || /^\d{1,15}$/.test(text)))
    return numeric ? Number(text) : text;
  throw badRequest('cursor', '"cursor" must be the `next` of an earlier answer.');
}

function compare(a: Key, b: Key): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}

function badRequest(field: string, message: string): Fault {
  return new Fault({ code: 'bad-request', message, details: { field } });
}
