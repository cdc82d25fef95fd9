import type { Targets } from '../../shared/model/targets.ts';

export type Field = {
  readonly path: string;
  readonly label: string;
  readonly unit: '' | '°C' | 'kPa' | '%RH';
};
export type FieldGroup = { readonly name: string; readonly fields: readonly Field[] };
export type FormValues = Readonly<Record<string, string>>;

const band = (path: string): Field[] => [
  { path: `${path}.day.lowC`, label: 'day, from', unit: '°C' },
  { path: `${path}.day.highC`, label: 'day, to', unit: '°C' },
  { path: `${path}.night.lowC`, label: 'night, from', unit: '°C' },
  { path: `${path}.night.highC`, label: 'night, to', unit: '°C' },
];

/** The fields of a target sheet in the order of the section: air, leaf, root zone, then the clock. */
export const FIELD_GROUPS: readonly FieldGroup[] = [
  { name: 'air', fields: [...band('air'), { path: 'air.ceilingC', label: 'ceiling', unit: '°C' }] },
  {
    name: 'leaf',
    fields: [
      { path: 'vpd.lowKpa', label: 'air VPD, from', unit: 'kPa' },
      { path: 'vpd.highKpa', label: 'air VPD, to', unit: 'kPa' },
      { path: 'saturation.relativeHumidityPct', label: 'saturated from', unit: '%RH' },
    ],
  },
  { name: 'root zone', fields: band('rootZone') },
  {
    name: 'clock',
    fields: [
      { path: 'dayStart', label: 'day starts', unit: '' },
      { path: 'nightStart', label: 'night starts', unit: '' },
    ],
  },
];

const FIELDS = FIELD_GROUPS.flatMap((group) => group.fields);

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function at(value: unknown, path: string): unknown {
  return path.split('.').reduce<unknown>((inner, key) => (isRecord(inner) ? inner[key] : undefined), value);
}

/** The sheet as text for the inputs, one entry a field. */
export function formOf(targets: Targets): FormValues {
  return Object.fromEntries(FIELDS.map(({ path }) => [path, String(at(targets, path) ?? '')]));
}

/** The inputs as the body of a PUT: numbers where a number can be read, else what was typed, for the daemon to judge. */
export function bodyOf(values: FormValues): Record<string, unknown> {
  const body: Record<string, unknown> = {};
  for (const { path, unit } of FIELDS) {
    const typed = (values[path] ?? '').trim();
    const number = Number(typed.replace(',', '.'));
    const value = unit === '' || typed === '' || Number.isNaN(number) ? typed : number;
    const keys = path.split('.');
    let inner = body;
    for (const key of keys.slice(0, -1)) {
      const next = inner[key];
      const child = isRecord(next) ? next : {};
      inner[key] = child;
      inner = child;
    }
    inner[keys.at(-1) ?? path] = value;
  }
  return body;
}

function pathText(path: unknown): string | null {
  if (Array.isArray(path)) return path.join('.');
  if (typeof path !== 'string') return null;
  return path.replace(/^[/.]/, '').replaceAll('/', '.');
}

function issuesIn(details: unknown): unknown[] {
  if (Array.isArray(details)) return details;
  if (!isRecord(details)) return [];
  const inner = details['issues'] ?? details['errors'];
  return Array.isArray(inner) ? inner : [details];
}

/**
 * The daemon's objections, each beside its field: those about a whole band stand at its first field.
 * @param details what the error carried
 * @returns messages by field path; what fits no field is left to the message of the error
 */
export function fieldErrors(details: unknown): Record<string, string> {
  const errors: Record<string, string> = {};
  for (const issue of issuesIn(details)) {
    if (!isRecord(issue)) continue;
    const path = pathText(issue['path'] ?? issue['pointer'] ?? issue['key']);
    const { message } = issue;
    if (path === null || typeof message !== 'string') continue;
    const field = FIELDS.find(
      (known) => known.path === path || (path !== '' && known.path.startsWith(`${path}.`)),
    );
    if (field) errors[field.path] = errors[field.path] ? `${errors[field.path]}; ${message}` : message;
  }
  return errors;
}
