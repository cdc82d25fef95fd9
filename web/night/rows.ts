import type { NightRow } from '../../shared/wire/http.ts';
import { markOf } from '../../shared/words/night-row.ts';

/** Rows shown in full: more are not read in a morning's first minute. */
const MOST_FULL = 3;

export type Zone = { readonly name: string | null; readonly rows: readonly NightRow[]; readonly of: number };
type Arrangement = {
  /** what needs attention or did, worst first, whatever the zone */
  readonly loud: readonly NightRow[];
  /** ids of the places shown in full */
  readonly full: ReadonlySet<string>;
  /** what needs no attention, by zone; `of` counts all places of the zone */
  readonly zones: readonly Zone[];
};

const byName = (a: string, b: string) => a.localeCompare(b, 'en', { numeric: true });

/** Rows as they stand on the page: what matters worst first, then the others by zone; places without one come last. */
export function arranged(rows: readonly NightRow[]): Arrangement {
  const loud = rows.filter((row) => markOf(row) !== 'fine');
  const zones = [...Map.groupBy(rows, ({ zone }) => zone)]
    .map(([name, all]) => ({ name, rows: all.filter((row) => markOf(row) === 'fine'), of: all.length }))
    .filter((zone) => zone.rows.length > 0)
    .map((zone) => ({ ...zone, rows: zone.rows.toSorted((a, b) => byName(a.name, b.name)) }))
    .sort((a, b) =>
      a.name === null || b.name === null
        ? Number(a.name === null) - Number(b.name === null)
        : byName(a.name, b.name),
    );
  return { loud, zones, full: new Set(loud.slice(0, MOST_FULL).map(({ placeId }) => placeId)) };
}

/** The morning so many days on. @param date YYYY-MM-DD */
export function dateAfter(date: string, days: number): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);
}
