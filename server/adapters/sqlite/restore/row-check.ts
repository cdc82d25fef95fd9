import { z } from 'zod';
import type { Horizon } from '../../../domain/room/horizon.ts';

export type SqlValue = number | string | Uint8Array | null;
/** A row by the names of its columns, as the file says it. */
export type Row = Readonly<Record<string, unknown>>;

/** What rows are held against that are copied after others. */
export type RowContext = {
  readonly nowMs: number;
  /** quantities of the probes copied so far, by id */
  readonly probes: Map<number, string | null>;
  readonly places: Set<string>;
  /** bodies of the edits of targets copied so far, by place */
  readonly targets: Map<string, string>;
  horizon: Horizon | null;
  /** true once something was left out or changed: then sums made of the readings may be false */
  altered: boolean;
};

/** A row made usable, with what was changed in words; or why it is left out. */
export type Verdict = { readonly row: Row; readonly changed?: string } | { readonly leftOut: string };

/** How the rows of one table are checked before they come over. */
export type RowCheck = {
  /** every column of the table, and what its values must be */
  readonly columns: Readonly<Record<string, z.ZodType>>;
  /** makes values usable that can be replaced, before the columns are checked */
  readonly mended?: (row: Row, context: RowContext) => Verdict;
  /** what the columns must be together, and with other tables; after the columns were checked */
  readonly whole?: (row: Row, context: RowContext) => Verdict;
  /** `sums`: made of the readings, and made again; `never`: of the computer it was on. Neither is missed. */
  readonly kind?: 'sums' | 'never';
};

/** Checks one row. */
export function checkRow(row: Row, { columns, mended, whole }: RowCheck, context: RowContext): Verdict {
  const first = mended?.(row, context) ?? { row };
  if ('leftOut' in first) return first;
  const wrong = Object.entries(columns).find(([name, schema]) => !schema.safeParse(first.row[name]).success);
  if (wrong !== undefined) return { leftOut: `"${wrong[0]}" does not fit` };
  const last = whole?.(first.row, context) ?? { row: first.row };
  if ('leftOut' in last) return last;
  const changed = [first.changed, last.changed].filter((words) => words !== undefined).join(', ');
  return changed === '' ? { row: last.row } : { row: last.row, changed };
}

/** Numbers of rows go up from here by one: no file may take them all. */
const MAX_ID = 2 ** 48;
/** The first and last time a date can have, ms since epoch. */
const MAX_TIME_MS = 8.64e15;

export const id = z.int().min(1).max(MAX_ID);
export const timeMs = z.int().min(-MAX_TIME_MS).max(MAX_TIME_MS);
export const count = z.int().min(0);
export const flag = z.union([z.literal(0), z.literal(1)]);
export const bytes = z.instanceof(Uint8Array);
/** A text on one line. */
export const line = (most: number) =>
  z
    .string()
    .max(most)
    .regex(/^\P{Cc}*$/u);
/** A text that may hold anything. */
export const text = (most: number) => z.string().max(most);

/** A text of JSON that fits a schema. */
export function json(schema: z.ZodType, most = 65_536): z.ZodType {
  return z
    .string()
    .max(most)
    .refine((body) => {
      try {
        return schema.safeParse(JSON.parse(body)).success;
      } catch {
        return false;
      }
    });
}
