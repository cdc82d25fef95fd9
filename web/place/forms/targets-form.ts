import type { Targets } from '../../../shared/model/targets.ts';
import type { BodyOf } from '../../../shared/routes/call.ts';
import {
  celsiusTyped,
  errorsByPath,
  type FormValues,
  isRecord,
  numberOrTyped,
  typedTemperature,
  valueAt,
} from '../../common/form.ts';
import type { TemperatureUnit } from '../../common/format.ts';

export type Field = {
  readonly path: string;
  readonly label: string;
  readonly unit: '' | '°C' | 'kPa' | '%RH' | 'min' | 'µmol m⁻² s⁻¹';
  /** what holds where the targets do not state it */
  readonly usual?: string;
};
type FieldGroup = { readonly name: string; readonly fields: readonly Field[] };
type DayBy = NonNullable<Targets['dayBy']>['kind'];

const band = (path: string): Field[] => [
  { path: `${path}.day.lowC`, label: 'day, from', unit: '°C' },
  { path: `${path}.day.highC`, label: 'day, to', unit: '°C' },
  { path: `${path}.night.lowC`, label: 'night, from', unit: '°C' },
  { path: `${path}.night.highC`, label: 'night, to', unit: '°C' },
];

/** The fields of a target sheet in the order of the section: air, leaf, root zone, then day and night. */
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
    name: 'day and night',
    fields: [
      { path: 'dayStart', label: 'day starts', unit: '' },
      { path: 'nightStart', label: 'night starts', unit: '' },
      { path: 'rampMin', label: 'bands take', unit: 'min', usual: '0' },
    ],
  },
];

/** What turns day to night, in the words of the form. */
export const DAY_BY_CHOICES: readonly {
  readonly kind: DayBy;
  readonly words: string;
  readonly hint: string;
}[] = [
  { kind: 'clock', words: 'the clock', hint: '' },
  {
    kind: 'sun',
    words: 'sunrise and sunset',
    hint: 'It needs the coordinates of the place, under Settings; until then these times hold.',
  },
  { kind: 'light', words: 'the light probe', hint: 'These times hold where the probe is silent.' },
];
export const DAY_BY_PATH = 'dayBy.kind';
export const DAY_LIGHT_FIELD: Field = {
  path: 'dayBy.ppfdUmolM2S',
  label: 'day from',
  unit: 'µmol m⁻² s⁻¹',
};
/** PROPOSAL of the project, no source: what stands in the input before anybody has set a threshold */
const USUAL_THRESHOLD = '5';

const FIELDS = FIELD_GROUPS.flatMap((group) => group.fields);

/** The sheet as text for the inputs, one entry a field; temperatures in the unit for reading. */
export function formOf(targets: Targets, unit: TemperatureUnit = 'C'): FormValues {
  const { dayBy } = targets;
  return {
    ...Object.fromEntries(
      FIELDS.map(({ path, usual = '', unit: own }) => {
        const value = valueAt(targets, path) ?? usual;
        return [path, own === '°C' ? typedTemperature(value, unit) : String(value)];
      }),
    ),
    [DAY_BY_PATH]: dayBy?.kind ?? 'clock',
    [DAY_LIGHT_FIELD.path]: dayBy?.kind === 'light' ? String(dayBy.ppfdUmolM2S) : USUAL_THRESHOLD,
  };
}

function dayByOf(values: FormValues): Record<string, unknown> {
  const kind = values[DAY_BY_PATH] ?? 'clock';
  return kind === 'light'
    ? { kind, ppfdUmolM2S: numberOrTyped(values[DAY_LIGHT_FIELD.path] ?? '') }
    : { kind };
}

/**
 * The inputs as the body of a PUT: numbers where a number can be read, else what was typed, for the daemon to judge.
 * @param inForce the targets to change; what has no input here stays as it is
 * @param reading the unit in which temperatures were typed; they are kept in °C
 */
export function bodyOf(
  values: FormValues,
  inForce: Targets,
  reading: TemperatureUnit = 'C',
): BodyOf<'setTargets'> {
  const body: Record<string, unknown> = structuredClone(inForce);
  for (const { path, unit, usual } of FIELDS) {
    const typed = values[path] ?? '';
    // what holds anyway need not be stated
    if (valueAt(inForce, path) === undefined && typed.trim() === usual) continue;
    const keys = path.split('.');
    const group = valueAt(body, keys.slice(0, -1).join('.'));
    if (!isRecord(group)) continue;
    const key = keys.at(-1) ?? path;
    if (unit === '°C') group[key] = celsiusTyped(typed, reading, valueAt(inForce, path));
    else group[key] = unit === '' ? typed.trim() : numberOrTyped(typed);
  }
  const dayBy = dayByOf(values);
  if (inForce.dayBy !== undefined || dayBy['kind'] !== 'clock') body['dayBy'] = dayBy;
  return body as BodyOf<'setTargets'>;
}

/**
 * The daemon's objections, each beside its field: those about a whole band stand at its first field.
 * @param details what the error carried: messages by path
 * @returns messages by field path; what fits no field is left to the message of the error
 */
export function fieldErrors(details: unknown): Record<string, string> {
  return errorsByPath(details, [...FIELDS.map(({ path }) => path), DAY_LIGHT_FIELD.path]);
}
