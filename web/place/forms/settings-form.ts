import { LX_PER_UMOL } from '../../../shared/climate/light.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import type { BodyOf } from '../../../shared/routes/call.ts';
import { errorsByPath, type FormValues, isRecord, numberOrTyped, valueAt } from '../../common/form.ts';
import { fixed, readingDifference, type TemperatureUnit } from '../../common/format.ts';

export type SettingField = {
  readonly path: string;
  readonly label: string;
  readonly unit: string;
  /** how many of the unit of the form make one of the unit of the setting */
  readonly perUnit?: number;
  readonly choices?: readonly string[];
  /** words, not a number */
  readonly text?: true;
  /** what an empty input means; without it an input must be filled in */
  readonly empty?: string;
};
type SettingGroup = {
  readonly name: string;
  readonly hint: string;
  readonly fields: readonly SettingField[];
};

/** The settings of a place in the units a person would type. */
export const SETTING_GROUPS: readonly SettingGroup[] = [
  {
    name: 'location',
    hint: 'Places of one zone stand together in the night. Altitude sets the air pressure. Coordinates are for days that follow the sun; south and west are negative.',
    fields: [
      { path: 'zone', label: 'zone', unit: '', text: true, empty: 'none' },
      { path: 'altitudeM', label: 'altitude', unit: 'm', empty: 'sea level' },
      { path: 'coordinates.latitudeDeg', label: 'latitude', unit: '°', empty: 'not stated' },
      { path: 'coordinates.longitudeDeg', label: 'longitude', unit: '°', empty: 'not stated' },
    ],
  },
  {
    name: 'light and leaf',
    hint: 'The light source turns lux into photons; the next is used when there is no leaf probe.',
    fields: [
      { path: 'lightSource', label: 'light source', unit: '', choices: Object.keys(LX_PER_UMOL) },
      { path: 'leafOffsetK', label: 'leaf warmer than air by', unit: 'K', empty: 'estimated from the light' },
      { path: 'leaf.widthM', label: 'leaf width', unit: 'cm', perUnit: 100 },
      { path: 'leaf.airSpeedMS', label: 'air speed over it', unit: 'm/s' },
      { path: 'leaf.filmUm', label: 'film of mist', unit: 'µm' },
      { path: 'mistEveryMin', label: 'mist comes every', unit: 'min', empty: 'as the record shows' },
    ],
  },
  {
    name: 'sensors',
    hint: 'What they may be off by to either side, and the longest silence that is drawn as a line.',
    fields: [
      { path: 'sensorError.temperatureK', label: 'temperature ±', unit: 'K' },
      {
        path: 'sensorError.humidityPct',
        label: 'humidity ±',
        unit: '%RH',
        empty: 'that of a digital capacitive chip',
      },
      { path: 'maxGapMs', label: 'gap limit', unit: 'min', perUnit: 1 / 60_000 },
    ],
  },
  {
    name: 'air ceiling alarm',
    hint: 'How long the air must be over its limit before the alarm is raised, and clear of it before it returns.',
    fields: [
      { path: 'ceilingAlarm.onDelayMs', label: 'raised after', unit: 's', perUnit: 1 / 1000 },
      { path: 'ceilingAlarm.offDelayMs', label: 'returns after', unit: 's', perUnit: 1 / 1000 },
      { path: 'ceilingAlarm.deadbandK', label: 'deadband', unit: 'K' },
    ],
  },
];

const FIELDS = SETTING_GROUPS.flatMap(({ fields }) => fields);
const NUMBER_IN_TEXT = /-?\d+(?:\.\d+)?$/;

/** How many of the units it is typed in make one of those it is kept in: a difference is typed in the degrees it is read in. */
function perUnitOf({ unit, perUnit = 1 }: SettingField, reading: TemperatureUnit): number {
  return unit === 'K' ? readingDifference(1, reading) : perUnit;
}

/** The unit a field is typed in. */
export function settingUnit({ unit }: SettingField, reading: TemperatureUnit): string {
  return unit === 'K' && reading === 'F' ? '°F' : unit;
}

const trimmed = (value: number) => String(Number(value.toPrecision(12)));

/** The settings as text for the inputs. */
export function settingsFormOf(settings: PlaceSettings, reading: TemperatureUnit): FormValues {
  return Object.fromEntries(
    FIELDS.map((field) => {
      const { path } = field;
      const value = valueAt(settings, path) ?? '';
      return [path, typeof value === 'number' ? trimmed(value * perUnitOf(field, reading)) : String(value)];
    }),
  );
}

function typedValue(field: SettingField, typed: string, reading: TemperatureUnit): unknown {
  const { choices, text, empty } = field;
  if (choices) return typed;
  if (typed.trim() === '' && empty !== undefined) return null;
  if (text) return typed.trim();
  const value = numberOrTyped(typed);
  return typeof value === 'number' ? Number((value / perUnitOf(field, reading)).toPrecision(12)) : value;
}

/**
 * The inputs as the body of a PATCH: every setting that has an input, for the daemon to judge.
 * @param inForce the settings to change; what has no input here stays as it is
 */
export function settingsBodyOf(
  values: FormValues,
  inForce: PlaceSettings,
  reading: TemperatureUnit,
): BodyOf<'changePlace'> {
  const settings: Record<string, unknown> = structuredClone(inForce);
  settings['coordinates'] = {};
  for (const field of FIELDS) {
    const [outer = '', inner] = field.path.split('.');
    const value = typedValue(field, values[field.path] ?? '', reading);
    const group = settings[outer];
    if (inner === undefined) settings[outer] = value;
    else if (isRecord(group)) group[inner] = value;
  }
  const { latitudeDeg, longitudeDeg } = settings['coordinates'] as Record<string, unknown>;
  if (latitudeDeg === null && longitudeDeg === null) settings['coordinates'] = null;
  return { settings: settings as BodyOf<'changePlace'>['settings'] };
}

/** The daemon's objections beside their fields, limits in the units of the form. */
export function settingsErrors(details: unknown, reading: TemperatureUnit): Record<string, string> {
  const bare = isRecord(details)
    ? Object.fromEntries(
        Object.entries(details).map(([path, text]) => [path.replace(/^settings\./, ''), text]),
      )
    : details;
  const errors = errorsByPath(
    bare,
    FIELDS.map(({ path }) => path),
  );
  return Object.fromEntries(
    Object.entries(errors).map(([path, message]) => {
      const field = FIELDS.find((one) => one.path === path);
      const perUnit = field ? perUnitOf(field, reading) : 1;
      const inFormUnits = message.replace(NUMBER_IN_TEXT, (number) =>
        fixedAsNeeded(Number(number) * perUnit),
      );
      return [path, inFormUnits];
    }),
  );
}

function fixedAsNeeded(value: number): string {
  return Number.isInteger(value) ? String(value) : fixed(value, 2).replace(/0+$/, '');
}
