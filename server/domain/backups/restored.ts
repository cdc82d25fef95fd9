/** How far a restore has come, per cent of a phase. */
export type RestoreProgress = {
  readonly phase: 'copying' | 'checking' | 'updating' | 'restoring';
  readonly pct: number;
};

/** What became of the rows of one table; `rows` is what people call them. */
export type RestoredRows = {
  readonly table: string;
  readonly rows: string;
  /** in the new record, those that were changed included */
  readonly copied: number;
  readonly changed: number;
  readonly leftOut: number;
};

/** A row that was left out, or changed so that it can be used, and why. */
export type RowRemark = {
  readonly table: string;
  /** which row it is, as a message can show it */
  readonly row: string;
  readonly kind: 'left-out' | 'changed';
  readonly why: string;
};

export type RestoreReport = {
  /** migrations that the backup held, and that this version has */
  readonly version: { readonly applied: number; readonly known: number };
  readonly tables: readonly RestoredRows[];
  readonly remarks: readonly RowRemark[];
  /** what the file held besides the tables of a record, in words: none of it was copied */
  readonly strange: readonly string[];
};

/** True when the new record holds all that the backup held. */
export function isComplete({ tables, strange }: Pick<RestoreReport, 'tables' | 'strange'>): boolean {
  return strange.length === 0 && tables.every(({ changed, leftOut }) => changed === 0 && leftOut === 0);
}

/** Most rows of one table that are named in words. */
const MOST_NAMED = 5;

/**
 * What became of a backup, one line each: how many rows of each table were restored, and which were not and why.
 * @example restoreLines(report)[0] // '2 places'
 */
export function restoreLines({ tables, remarks, strange }: RestoreReport): string[] {
  const lines = tables.flatMap(({ table, rows, copied, changed, leftOut }) => {
    if (copied + leftOut === 0) return [];
    const parts = [
      ...(changed === 0 ? [] : [`${changed} changed`]),
      ...(leftOut === 0 ? [] : [`${leftOut} left out`]),
    ];
    const own = remarks.filter((remark) => remark.table === table);
    const named = own.slice(0, MOST_NAMED).map(({ row, kind, why }) => `  ${row} ${KINDS[kind]}: ${why}`);
    const more = changed + leftOut - named.length;
    return [
      `${rows}: ${[`${copied} restored`, ...parts].join(', ')}`,
      ...named,
      ...(more > 0 ? [`  and ${more} more`] : []),
    ];
  });
  return [...lines, ...strange.map((what) => `not copied: ${what}`)];
}

const KINDS = { 'left-out': 'left out', changed: 'changed' } as const;
