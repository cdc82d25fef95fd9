import { Fault } from '../../../shared/faults.ts';
import { CURSOR_FAULT } from '../../../shared/routes/parameters.ts';

/** How much of a list is asked for: no `limit` for all of it, no `cursor` for its start. */
export type Paging = { readonly limit?: number | undefined; readonly cursor?: string | undefined };

type Key = string | number;
type Order<T> = { readonly keyOf: (row: T) => Key; readonly newestFirst?: boolean };

/**
 * A part of a list in the order of its keys, from after the cursor on. A key is looked for by its order, so that what
 * is removed between two questions makes no gap and no repeat.
 * @returns its rows, and the `next` to ask on with, null at the end; without a limit all rows as they are
 * @throws Fault `bad-request` for a cursor that is none, or without a limit
 */
export function pageOf<T>(rows: readonly T[], { limit, cursor }: Paging, order: Order<T>) {
  if (limit === undefined && cursor === undefined) return { rows, next: {} };
  if (limit === undefined) throw badCursor();
  const { keyOf, newestFirst = false } = order;
  const sorted = rows.toSorted((a, b) => compare(keyOf(a), keyOf(b)) * (newestFirst ? -1 : 1));
  const numeric = typeof (sorted[0] === undefined ? '' : keyOf(sorted[0])) === 'number';
  const after = cursor === undefined ? null : readCursor(cursor, numeric);
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

/** A text that a cursor stands for. @throws Fault `bad-request` */
export function textIn(cursor: string): string {
  return String(readCursor(cursor, false));
}

export function writeCursor(key: Key): string {
  return Buffer.from(String(key)).toString('base64url');
}

function readCursor(cursor: string, numeric: boolean): Key {
  const text = Buffer.from(cursor, 'base64url').toString();
  if (writeCursor(text) === cursor && (!numeric || /^\d{1,15}$/.test(text)))
    return numeric ? Number(text) : text;
  throw badCursor();
}

function compare(a: Key, b: Key): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}

function badCursor(): Fault {
  return new Fault({
    code: 'bad-request',
    message: `"cursor" ${CURSOR_FAULT}.`,
    details: { field: 'cursor' },
  });
}
