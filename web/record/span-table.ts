import type { Exposures } from '../../shared/wire/http.ts';
import {
  degreeHoursText,
  fixed,
  hoursText,
  type TemperatureUnit,
  temperatureWithUnit,
} from '../common/format.ts';

type Kind = 'hours' | 'doses' | 'values';
type RowOf = {
  readonly name: string;
  readonly kind: Kind;
  /** field of air and root zone, and field of the air VPD; `null` where the row has no such number */
  readonly fields: { readonly temperature: string; readonly vpd: string | null };
  readonly airOnly?: boolean;
  readonly tone?: 'below' | 'above';
};

type CountCell = {
  readonly text: string;
  /** path of the number in the exposures; `null` where there is none to ask about */
  readonly path: string | null;
  readonly tone: 'below' | 'above' | null;
};
type CountRow = { readonly name: string; readonly cells: readonly (CountCell | null)[] };

const NO_BREAK = '\u00a0';
/** What is not known is blank. */
const NONE = '';

const same = (field: string) => ({ temperature: field, vpd: field });
const ROWS: readonly RowOf[] = [
  { name: 'hours above', kind: 'hours', fields: same('hoursAbove'), tone: 'above' },
  { name: 'hours within', kind: 'hours', fields: same('hoursWithin') },
  { name: 'hours below', kind: 'hours', fields: same('hoursBelow'), tone: 'below' },
  {
    name: 'degree-hours above',
    kind: 'doses',
    fields: { temperature: 'degreeHoursAbove', vpd: 'kpaHoursAbove' },
    tone: 'above',
  },
  {
    name: 'degree-hours below',
    kind: 'doses',
    fields: { temperature: 'degreeHoursBelow', vpd: 'kpaHoursBelow' },
    tone: 'below',
  },
  {
    name: 'hours over ceiling',
    kind: 'hours',
    fields: { temperature: 'hoursOverCeiling', vpd: null },
    airOnly: true,
    tone: 'above',
  },
  {
    name: 'degree-hours over ceiling',
    kind: 'doses',
    fields: { temperature: 'degreeHoursOverCeiling', vpd: null },
    airOnly: true,
    tone: 'above',
  },
  { name: 'highest', kind: 'values', fields: { temperature: 'maxC', vpd: 'maxKpa' } },
  { name: 'mean', kind: 'values', fields: { temperature: 'meanC', vpd: 'meanKpa' } },
  { name: 'lowest', kind: 'values', fields: { temperature: 'minC', vpd: 'minKpa' } },
  { name: 'hours on record', kind: 'hours', fields: same('coveredHours') },
];

function textOf(value: number, kind: Kind, of: { group: string; unit: TemperatureUnit }): string {
  if (kind === 'hours') return hoursText(value);
  if (of.group === 'vpd') return `${fixed(value, 2)}${NO_BREAK}${kind === 'doses' ? 'kPa·h' : 'kPa'}`;
  return kind === 'doses' ? degreeHoursText(value, of.unit) : temperatureWithUnit(value, of.unit);
}

function cellOf(
  exposures: Exposures,
  row: RowOf,
  of: { group: 'air' | 'vpd' | 'rootZone'; unit: TemperatureUnit },
) {
  const field = of.group === 'vpd' ? row.fields.vpd : row.fields.temperature;
  if (field === null || (row.airOnly && of.group !== 'air')) return null;
  const counted = exposures[of.group];
  const value = new Map<string, number | null>(Object.entries(counted)).get(field) ?? null;
  if (value === null || counted.coveredHours === 0) return { text: NONE, path: null, tone: null };
  const text = textOf(value, row.kind, of);
  const tone = Number.parseFloat(text) > 0 ? (row.tone ?? null) : null;
  return { text, path: `${of.group}.${field}`, tone };
}

/** Hours and degree-hours of a span, row by row: air, leaf by the VPD of the air, root zone. */
export function countRows(exposures: Exposures, unit: TemperatureUnit): CountRow[] {
  return ROWS.map((row) => ({
    name: row.name,
    cells: (['air', 'vpd', 'rootZone'] as const).map((group) => cellOf(exposures, row, { group, unit })),
  }));
}
