import { z } from 'zod';
import type { Mapping } from '../../../../shared/model/probes/mapping.ts';
import type { Horizon } from '../../../domain/disk-space/horizon.ts';

/** A row by the names of its columns, as the file holds it. */
export type Row = Readonly<Record<string, unknown>>;

/** What rows are compared with that were copied before them. */
export type RowContext = {
  /** ms since epoch */
  readonly nowMs: number;
  /** quantities of the probes copied so far, by id */
  readonly probes: Map<number, string | null>;
  readonly places: Set<string>;
  /** when each batch was stuck, ms since epoch, by its number */
  readonly batches: Map<number, number>;
  readonly archiveItems: Set<number>;
  readonly people: Set<number>;
  readonly ways: Set<number>;
  readonly alarms: Set<string>;
  readonly mappings: Mapping[];
  /** bodies of the newest edit of targets copied so far, by place */
  readonly targets: Map<string, string>;
  horizon: Horizon | null;
};

/** Nothing copied yet. @param nowMs ms since epoch */
export function emptyContext(nowMs: number): RowContext {
  return {
    nowMs,
    probes: new Map(),
    places: new Set(),
    batches: new Map(),
    archiveItems: new Set(),
    people: new Set(),
    ways: new Set(),
    alarms: new Set(),
    mappings: [],
    targets: new Map(),
    horizon: null,
  };
}

/** A row that can be used, with what was changed in it in words; or why it is left out; or that nobody misses it. */
export type Verdict =
  | { readonly row: Row; readonly changed?: string }
  | { readonly leftOut: string }
  | { readonly madeAgain: true };

/** How the rows of one table are checked before they are copied. */
export type RowCheck = {
  /** columns that tell a person which row it is */
  readonly key: readonly string[];
  /** every column of the table, and what its values must be */
  readonly columns: Readonly<Record<string, z.ZodType>>;
  /** replaces values that can be replaced, before the columns are checked */
  readonly fixed?: (row: Row, context: RowContext) => Verdict;
  /** what the columns must be together, and with other tables; after the columns were checked */
  readonly whole?: (row: Row, context: RowContext) => Verdict;
  /** called once the row is in the new record */
  readonly copied?: (row: Row, context: RowContext) => void;
  /** most rows that are checked; what comes after is left out */
  readonly most?: number;
};

/** Checks one row. */
export function checkRow(row: Row, { columns, fixed, whole }: RowCheck, context: RowContext): Verdict {
  const first = fixed?.(row, context) ?? { row };
  if (!('row' in first)) return first;
  for (const [name, schema] of Object.entries(columns)) {
    const { error } = schema.safeParse(first.row[name]);
    if (error) return { leftOut: `${name}: ${error.issues[0]?.message ?? 'does not fit'}` };
  }
  const last = whole?.(first.row, context) ?? { row: first.row };
  if (!('row' in last)) return last;
  const changed = [first.changed, last.changed].filter((words) => words !== undefined).join('; ');
  return changed === '' ? { row: last.row } : { row: last.row, changed };
}

/** Most bytes of a text and of a block of bytes that are read out of a file at all. */
export const MOST_TEXT_BYTES = 1024 * 1024;
const MOST_BLOB_BYTES = 16 * 1024 * 1024;

/** Numbers of rows go on from the highest by one: no file may use them up. */
const MAX_ID = 2 ** 48;
/** Times beyond are no times of a record: from 1938 to 2200, ms since epoch. */
export const MIN_TIME_MS = -1e12;
export const MAX_TIME_MS = Date.UTC(2200, 0, 1);
const NO_TIME = 'is no time between 1938 and 2200';

export const id = z.int('is no whole number').min(1, 'is no number of a row').max(MAX_ID, 'is too large');
export const timeMs = z.int(NO_TIME).min(MIN_TIME_MS, NO_TIME).max(MAX_TIME_MS, NO_TIME);
export const count = z.int('is no whole number').min(0, 'is negative');
export const flag = z.union([z.literal(0), z.literal(1)], 'is neither 0 nor 1');
export const finite = z.number('is no finite number');
/** A block of bytes that was not cut because it is too long. */
export const bytes = z
  .instanceof(Uint8Array, { error: 'is no block of bytes' })
  .refine((block) => block.length <= MOST_BLOB_BYTES, 'is longer than 16 MiB');

/** A text on one line, at most so many characters. */
export const line = (most: number) =>
  z
    .string('is no text')
    .max(most, `is longer than ${most} characters`)
    .regex(/^\P{Cc}*$/u, 'holds control characters');
/** Any text of at most so many characters. */
export const text = (most: number) => z.string('is no text').max(most, `is longer than ${most} characters`);
/** A text that matches a pattern. @param what `is no name of a device` */
export const like = (pattern: RegExp, what: string) => z.string(what).regex(pattern, what);
/** One of some texts. */
export const oneOf = <const T extends readonly [string, ...string[]]>(values: T) =>
  z.enum(values, `is none of ${values.join(', ')}`);

/** A text of JSON that fits a schema. */
export function json(schema: z.ZodType): z.ZodType {
  return z.string('is no text').superRefine((body, context) => {
    const fault = jsonFault(body, schema);
    if (fault !== null) context.addIssue({ code: 'custom', message: fault });
  });
}

/** Why a text is no JSON that fits a schema, in words; null when it is. */
export function jsonFault(body: string, schema: z.ZodType): string | null {
  if (body.length > MOST_TEXT_BYTES) return 'is longer than 1 MiB';
  const read = parsed(body);
  if (read === undefined) return 'is no JSON';
  const { error } = schema.safeParse(read);
  if (!error) return null;
  const [issue] = error.issues;
  const at = issue?.path.join('.') ?? '';
  return at === '' ? 'does not fit' : `${at.slice(0, 60)} does not fit`;
}

function parsed(body: string): unknown {
  try {
    return JSON.parse(body);
  } catch {
    return undefined;
  }
}

/** What a text of a row says, for a row whose columns were checked. */
export function bodyOf<T>(row: Row, column: string, schema: z.ZodType<T>): T {
  return schema.parse(JSON.parse(String(row[column])));
}

/** What a function returns, or null where it throws: bytes that cannot be decoded. */
export function decoded<T>(read: () => T): T | null {
  try {
    return read();
  } catch {
    return null;
  }
}
