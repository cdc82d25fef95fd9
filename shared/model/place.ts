import { z } from 'zod';
import { jsonOf } from '../json.ts';
import { SETTABLE_RULES } from '../rules/rules.ts';
import { ceilingAlarmSchema } from './alarms/ceiling-alarm.ts';
import { limitSettingsSchema } from './alarms/limit-settings.ts';
import { lampSchema } from './lamp.ts';
import { nameSchema } from './name.ts';
import type { Output } from './output.ts';
import { ROOTS } from './set-up.ts';

/** What the cuttings stand in; a trade word, shown as it is. */
export const PLACE_KINDS = ['bench', 'case', 'dome', 'frame', 'unstated'] as const;

/** Where the place lies, degrees: latitude −90…90, longitude −180…180, east positive. */
const coordinatesSchema = z.strictObject({
  latitudeDeg: z.number().min(-90).max(90),
  longitudeDeg: z.number().min(-180).max(180),
});

/** What the sensors may be off by, ± K and ± %RH: the makers' accuracy, or what a check found. */
const sensorErrorSchema = z.strictObject({
  temperatureK: z.number().min(0).max(5),
  /** null: that of a digital capacitive chip, which grows towards wet air */
  humidityPct: z.number().min(0).max(20).nullable(),
});

/** The leaf a film of mist dries from: its width along the air stream, m; the air's speed over it, m/s; the film, µm. */
const leafSchema = z.strictObject({
  widthM: z.number().min(0.002).max(0.5),
  airSpeedMS: z.number().min(0).max(5),
  filmUm: z.number().min(1).max(300),
});

export const placeSettingsSchema = z.strictObject({
  maxGapMs: z.number().int().min(10_000).max(86_400_000),
  altitudeM: z.number().min(-430).max(6_000).nullable(),
  lightSource: lampSchema,
  /** how much warmer than the air a leaf is, K; null: estimated from the light, and as warm where none is measured */
  leafOffsetK: z.number().min(-10).max(15).nullable(),
  coordinates: coordinatesSchema.nullable(),
  sensorError: sensorErrorSchema,
  leaf: leafSchema,
  /** minutes from one mist pulse to the next in light; null: taken from the record itself */
  mistEveryMin: z.number().min(0.5).max(240).nullable(),
  /** whether a heating mat lies under it; null: nobody has said so, and it is judged as with one */
  mat: z.boolean().nullable(),
  /** what roots there; null: nobody has said so */
  roots: z.enum(ROOTS).nullable(),
  /** the three questions of its first contact wait for an answer */
  questionsOpen: z.boolean(),
  /** the group of places it belongs to, as its grower names it; null: none */
  zone: nameSchema.nullable(),
  /** what the place sets otherwise about its alarms */
  alarms: z.partialRecord(z.enum(SETTABLE_RULES), limitSettingsSchema),
});

export type PlaceSettings = Output<typeof placeSettingsSchema>;
export type PlaceKind = (typeof PLACE_KINDS)[number];

/**
 * Settings of a place nobody has set up. Gap limit and light factor: contract.
 * Sensor error: usual of
 * digital capacitive chips. Leaf and film: common practice, no source.
 */
export const DEFAULT_PLACE_SETTINGS: PlaceSettings = {
  maxGapMs: 15 * 60_000,
  altitudeM: null,
  lightSource: 'daylight',
  leafOffsetK: null,
  coordinates: null,
  sensorError: { temperatureK: 0.3, humidityPct: null },
  leaf: { widthM: 0.05, airSpeedMS: 0.1, filmUm: 100 },
  mistEveryMin: null,
  mat: null,
  roots: null,
  questionsOpen: false,
  zone: null,
  alarms: {},
};

/** Settings as they are stored, and which of them could not be used. */
type StoredSettings = {
  readonly settings: PlaceSettings;
  /** names of settings that were out of range or unreadable: their defaults hold instead */
  readonly defaulted: readonly string[];
};

/**
 * The settings of a place as they are stored, whatever is stored: what is missing or out of range has its default.
 * @example readPlaceSettings('{"maxGapMs":-1}').defaulted // ['maxGapMs']
 */
export function readPlaceSettings(text: string): StoredSettings {
  const stored = objectOf(text);
  if (stored === null) return { settings: DEFAULT_PLACE_SETTINGS, defaulted: ['settings'] };
  const { shape } = placeSettingsSchema;
  const defaulted: string[] = [];
  const settings: Record<string, unknown> = { ...DEFAULT_PLACE_SETTINGS };
  for (const [name, schema] of Object.entries(shape).filter(([key]) => stored[key] !== undefined)) {
    const read = schema.safeParse(stored[name]);
    if (read.success) settings[name] = read.data;
    else if (name === 'alarms') settings[name] = readAlarmSettings(stored[name], defaulted);
    else defaulted.push(name);
  }
  return { settings: placeSettingsSchema.parse(settings), defaulted };
}

/** One rule that cannot be used leaves the settings of the others. */
function readAlarmSettings(stored: unknown, defaulted: string[]): PlaceSettings['alarms'] {
  const entries = typeof stored === 'object' && stored !== null ? Object.entries(stored) : [];
  const read = entries.map(([rule, value]) => {
    const one = placeSettingsSchema.shape.alarms.safeParse({ [rule]: value });
    if (!one.success) defaulted.push(`alarms.${rule.slice(0, MAX_SHOWN_CHARS)}`);
    return one.success ? one.data : {};
  });
  if (entries.length === 0) defaulted.push('alarms');
  return Object.assign({}, ...read);
}

/** Most characters of a name nobody knows that are repeated. */
const MAX_SHOWN_CHARS = 40;

function objectOf(text: string): Record<string, unknown> | null {
  const read = jsonOf(text);
  return typeof read === 'object' && read !== null && !Array.isArray(read) ? { ...read } : null;
}

/** What may be changed about a place over HTTP; what is left out stays. */
export const placePatchSchema = z
  .strictObject({
    name: nameSchema,
    kind: z.enum(PLACE_KINDS),
    settings: placeSettingsSchema.extend({ ceilingAlarm: ceilingAlarmSchema }).partial(),
  })
  .partial();

export type PlacePatch = z.infer<typeof placePatchSchema>;

export const placeSchema = z
  .strictObject({
    id: z.string(),
    name: z.string(),
    kind: z.enum(PLACE_KINDS),
    invented: z.boolean(),
    settings: placeSettingsSchema,
  })
  .meta({
    id: 'Place',
    description: 'A place where cuttings root: a mist bench, a heated case, a dome, a frame.',
  });
export type Place = Output<typeof placeSchema>;
