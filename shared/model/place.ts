import { z } from 'zod';
import { ceilingAlarmSchema } from '../rules/ceiling-alias.ts';
import { LIMIT_RULES } from '../rules/rules.ts';
import { lampSchema } from './lamp.ts';
import { limitSettingsSchema } from './limit-settings.ts';
import { nameSchema } from './name.ts';

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
  leafOffsetK: z.number().min(-10).max(15),
  coordinates: coordinatesSchema.nullable(),
  sensorError: sensorErrorSchema,
  leaf: leafSchema,
  /** minutes from one mist pulse to the next in light; null: taken from the record itself */
  mistEveryMin: z.number().min(0.5).max(240).nullable(),
  /** what the place sets otherwise about its alarms */
  alarms: z.partialRecord(z.enum(LIMIT_RULES), limitSettingsSchema),
});

export type PlaceSettings = z.infer<typeof placeSettingsSchema>;
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
  leafOffsetK: 0,
  coordinates: null,
  sensorError: { temperatureK: 0.3, humidityPct: null },
  leaf: { widthM: 0.05, airSpeedMS: 0.1, filmUm: 100 },
  mistEveryMin: null,
  alarms: {},
};

/** A place where cuttings root: a mist bench, a heated case, a dome, a frame. */
export type Place = {
  readonly id: string;
  readonly name: string;
  readonly kind: PlaceKind;
  readonly invented: boolean;
  readonly settings: PlaceSettings;
};

/** What may be changed about a place over HTTP; what is left out stays. */
export const placePatchSchema = z
  .strictObject({
    name: nameSchema,
    kind: z.enum(PLACE_KINDS),
    settings: placeSettingsSchema.extend({ ceilingAlarm: ceilingAlarmSchema }).partial(),
  })
  .partial();

export type PlacePatch = z.infer<typeof placePatchSchema>;
