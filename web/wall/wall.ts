import type { NightRow, PlaceSummary, SeriesName } from '../../shared/wire/http.ts';
import { kindsWorthSaying } from '../../shared/words/night.ts';
import { EXCURSION_NAMES, markOf, type NightMark } from '../../shared/words/night-row.ts';
import { wallTime } from '../common/time.ts';
import { labelsOf } from './labels.ts';
import type { LiveRow } from './live-rows.ts';

/** More are not read from afar. */
export const MOST_GIANTS = 3;
/** Marks that ask for somebody, or for an eye on it. */
const LOUD: readonly NightMark[] = ['unanswered', 'acknowledged', 'not-reporting', 'out'];

/** One place on the wall. */
export type WallPlace = {
  readonly row: LiveRow;
  readonly mark: NightMark;
  readonly label: string;
  /** on which side of its limit it is, or was; null where it is within, or that is not known */
  readonly side: 'above' | 'below' | null;
};
export type WallZone = { readonly name: string | null; readonly places: readonly WallPlace[] };
export type Wall = {
  /** worst first */
  readonly places: readonly WallPlace[];
  /** the worst, as giant numbers */
  readonly giants: readonly WallPlace[];
  readonly zones: readonly WallZone[];
};

const byName = (a: string, b: string) => a.localeCompare(b, 'en', { numeric: true });

/** The kind of excursion a place is shown by: one that goes on before one that is over. */
export function shownKind({ excursions }: Pick<NightRow, 'excursions'>) {
  const kinds = kindsWorthSaying({ excursions });
  return kinds.find(({ endedMs }) => endedMs === null) ?? kinds[0] ?? null;
}

function sideOf(row: LiveRow, mark: NightMark): WallPlace['side'] {
  if (mark === 'fine' || mark === 'not-reporting') return null;
  const kind = shownKind(row);
  return kind ? EXCURSION_NAMES[kind.kind].side : null;
}

/**
 * What stands on the wall: the worst as giant numbers, and every place once by zone, those without one last.
 * @param most giant numbers there is room for
 */
export function wallOf(rows: readonly LiveRow[], most: number): Wall {
  const labels = labelsOf(rows.map(({ name }) => name));
  const places = rows.map((row, i): WallPlace => {
    const mark = markOf(row);
    return { row, mark, label: labels[i] ?? row.name, side: sideOf(row, mark) };
  });
  const zones = [...Map.groupBy(places, ({ row }) => row.zone)]
    .map(([name, some]) => ({ name, places: some.toSorted((a, b) => byName(a.row.name, b.row.name)) }))
    .sort((a, b) =>
      a.name === null || b.name === null
        ? Number(a.name === null) - Number(b.name === null)
        : byName(a.name, b.name),
    );
  const giants = places.filter(({ mark }) => LOUD.includes(mark)).slice(0, most);
  return { places, giants, zones };
}

const SERIES_OF: Readonly<Record<'air' | 'leaf' | 'rootZone', SeriesName>> = {
  air: 'airTemperatureC',
  leaf: 'airVpdKpa',
  rootZone: 'rootZoneTemperatureC',
};

/** The newest value of what a place is shown by; null where none is known, or it is out of date. */
export function newestOf(row: LiveRow): { readonly value: number; readonly unit: '°C' | 'kPa' } | null {
  const kind = shownKind(row);
  const layer = kind && EXCURSION_NAMES[kind.kind].layer;
  if (!layer) return null;
  const now = row.place.now.quantities[SERIES_OF[layer]];
  if (!now || now.state === 'stale') return null;
  return { value: now.value, unit: layer === 'leaf' ? 'kPa' : '°C' };
}

/** Since when nothing is read of a place, ms since epoch; null where something is. */
export function silentSinceMs({ excursions }: Pick<NightRow, 'excursions'>): number | null {
  const open = excursions.findLast(({ kind, to }) => kind === 'no-data' && to === null);
  return open ? Date.parse(open.from) : null;
}

/** Whether it is night by the targets of most places, on the wall clock of the installation. */
export function isNightAt(
  places: readonly Pick<PlaceSummary, 'targets'>[],
  moment: { readonly atMs: number; readonly timeZone: string },
): boolean {
  const clock = wallTime(moment).slice(11, 16);
  const dark = places.filter(({ targets: { dayStart, nightStart } }) =>
    dayStart < nightStart ? clock < dayStart || clock >= nightStart : clock >= nightStart && clock < dayStart,
  );
  return dark.length * 2 > places.length;
}
