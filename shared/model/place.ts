import { z } from 'zod';
import { lampSchema } from './lamp.ts';

/** What the cuttings stand in; a trade word, shown as it is. */
export const PLACE_KINDS = ['bench', 'case', 'dome', 'frame', 'unstated'] as const;

/** How the air-ceiling alarm of a place waits: delays in ms, deadband in K. */
export const ceilingAlarmSchema = z.strictObject({
  onDelayMs: z.number().int().min(0).max(3_600_000),
  offDelayMs: z.number().int().min(0).max(3_600_000),
  deadbandK: z.number().min(0).max(10),
});

export const placeSettingsSchema = z.strictObject({
  maxGapMs: z.number().int().min(10_000).max(86_400_000),
  altitudeM: z.number().min(-430).max(6_000).nullable(),
  lightSource: lampSchema,
  leafOffsetK: z.number().min(-10).max(15),
  ceilingAlarm: ceilingAlarmSchema,
});

export type CeilingAlarmSettings = z.infer<typeof ceilingAlarmSchema>;
export type PlaceSettings = z.infer<typeof placeSettingsSchema>;
export type PlaceKind = (typeof PLACE_KINDS)[number];

/**
 * Settings of a place nobody has set up. Gap limit and light factor: contract.
 * Alarm delays: 60 s and 1 % of 0…50 °C, see @source [ALARM-START] in sources.md.
 */
export const DEFAULT_PLACE_SETTINGS: PlaceSettings = {
  maxGapMs: 15 * 60_000,
  altitudeM: null,
  lightSource: 'daylight',
  leafOffsetK: 0,
  ceilingAlarm: { onDelayMs: 60_000, offDelayMs: 60_000, deadbandK: 0.5 },
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
    name: z.string().trim().min(1).max(80),
    kind: z.enum(PLACE_KINDS),
    settings: placeSettingsSchema.partial(),
  })
  .partial();

export type PlacePatch = z.infer<typeof placePatchSchema>;
