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
  if (path === '') return value;
  return path.split('.').reduce<unknown>((inner, key) => (isRecord(inner) ? inner[key] : undefined), value);
}

/** The sheet as text for the inputs, one entry a field. */
export function formOf(targets: Targets): FormValues {
  return Object.fromEntries(FIELDS.map(({ path }) => [path, String(at(targets, path) ?? '')]));
}

/**
 * The inputs as the body of a PUT: numbers where a number can be read, else what was typed, for the daemon to judge.
 * @param inForce the targets to change; what has no input here stays as it is
 */
export function bodyOf(values: FormValues, inForce: Targets): Record<string, unknown> {
  const body: Record<string, unknown> = structuredClone(inForce);
  for (const { path, unit } of FIELDS) {
    const typed = (values[path] ?? '').trim();
    const number = Number(typed.replace(',', '.'));
    const value = unit === '' || typed === '' || Number.isNaN(number) ? typed : number;
    const keys = path.split('.');
    const group = at(body, keys.slice(0, -1).join('.'));
    if (isRecord(group)) group[keys.at(-1) ?? path] = value;
  }
  return body;
}

/**
 * The daemon's objections, each beside its field: those about a whole band stand at its first field.
 * @param details what the error carried: messages by path
 * @returns messages by field path; what fits no field is left to the message of the error
 */
export function fieldErrors(details: unknown): Record<string, string> {
  const errors: Record<string, string> = {};
  if (!isRecord(details)) return errors;
  for (const [path, message] of Object.entries(details)) {
    const field = FIELDS.find((known) => known.path === path || known.path.startsWith(`${path}.`));
    if (!field || typeof message !== 'string') continue;
    const before = errors[field.path];
    errors[field.path] = before === undefined ? message : `${before}; ${message}`;
  }
  return errors;
}
