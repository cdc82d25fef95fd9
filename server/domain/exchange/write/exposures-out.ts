import { HARM_KINDS } from '../../../../shared/harm/scale.ts';
import type { Exposures } from '../../../../shared/wire/http.ts';
import { localDays } from '../../calendar/days.ts';
import { csvLine } from './csv-write.ts';

const HOUR_MS = 3_600_000;

export type Stretch = { readonly fromMs: number; readonly toMs: number };

/**
 * A span cut into local days, or into the hours of local days: the rows of exported exposures.
 * @param span ms since epoch, `fromMs < toMs`
 * @param zone IANA time zone
 * @returns contiguous, ascending; the first and the last are cut by the span
 */
export function stretchesOf(
  span: Stretch & { readonly zone: string; readonly by: 'day' | 'hour' },
): Stretch[] {
  return localDays(span)
    .flatMap((day) => (span.by === 'day' ? [day] : hoursOf(day)))
    .map(({ fromMs, toMs }) => ({ fromMs: Math.max(fromMs, span.fromMs), toMs: Math.min(toMs, span.toMs) }))
    .filter(({ fromMs, toMs }) => fromMs < toMs);
}

function hoursOf({ fromMs, toMs }: Stretch): Stretch[] {
  const count = Math.ceil((toMs - fromMs) / HOUR_MS);
  return Array.from({ length: count }, (_, hour) => ({
    fromMs: fromMs + hour * HOUR_MS,
    toMs: Math.min(fromMs + (hour + 1) * HOUR_MS, toMs),
  }));
}

type Cell = readonly [header: string, value: string | number | null];

/** One stretch's exposures as a CSV row; `header` gives the first row. Columns are named as over HTTP, with units. */
export const CSV_EXPOSURES = {
  header: (exposures: Exposures): string => csvLine(cellsOf(exposures).map(([header]) => header)),
  row: (exposures: Exposures): string => csvLine(cellsOf(exposures).map(([, value]) => value)),
};

/** A stretch lies within one local day, so the days of its light are one row's columns. */
function cellsOf({ placeId, from, to, light, wetHours, harm, ...groups }: Exposures): Cell[] {
  const { days, ...lightOfAll } = light;
  const [day] = days;
  return [
    ['placeId', placeId],
    ['from', from],
    ['to', to],
    ...Object.entries(groups).flatMap(([name, group]) => groupCells(name, group)),
    ...groupCells('light', {
      ...lightOfAll,
      dliMolM2: day?.dliMolM2 ?? null,
      photoperiodHours: day?.photoperiodHours ?? null,
    }),
    ...wetHours.flatMap(({ condition, coveredHours, hours, longestHours }) =>
      groupCells(`wetHours.${condition}`, { coveredHours, hours, longestHours }),
    ),
    ...HARM_KINDS.map((kind): Cell => [`harm.${kind} [1]`, harm?.[kind] ?? null]),
  ];
}

function groupCells(name: string, group: Readonly<Record<string, string | number | null>>): Cell[] {
  return Object.entries(group).map(([field, value]): Cell => {
    const unit = unitOfField(field);
    return [unit === null ? `${name}.${field}` : `${name}.${field} [${unit}]`, value];
  });
}

/** Names carry their unit; the first that fits counts. */
const FIELD_UNITS: readonly (readonly [RegExp, string])[] = [
  [/^degreeHours/, '°C·h'],
  [/^kpaHours/, 'kPa·h'],
  [/hours/i, 'h'],
  [/MolM2$/, 'mol/m²'],
  [/Kpa$/, 'kPa'],
  [/C$/, '°C'],
  [/K$/, 'K'],
];

function unitOfField(field: string): string | null {
  return FIELD_UNITS.find(([pattern]) => pattern.test(field))?.[1] ?? null;
}
