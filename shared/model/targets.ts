import { z } from 'zod';
import { HARM_KINDS } from '../harm/scale.ts';
import { SETTABLE_RULES } from '../rules/ids.ts';

const clockTime = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'a wall-clock time from 00:00 to 23:59');
const temperatureC = z.number().min(-30).max(60);

const temperatureBand = z
  .strictObject({ lowC: temperatureC, highC: temperatureC })
  .refine((band) => band.lowC < band.highC, 'lowC must lie below highC');

const dayAndNight = { day: temperatureBand, night: temperatureBand };

/** What turns day to night: the clock, sunrise and sunset at the place, or its light probe (µmol m⁻² s⁻¹). */
const dayBy = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('clock') }),
  z.strictObject({ kind: z.literal('sun') }),
  z.strictObject({ kind: z.literal('light'), ppfdUmolM2S: z.number().positive().max(500) }),
]);

/**
 * What the sheet asks of alarms besides its bands; what is left out has the default of its rule, and saturation and
 * light raise none unless asked for: K above the ceiling, °C, h saturated, µmol m⁻² s⁻¹, °C, °C·h below the band.
 */
const alarmTargets = z
  .strictObject({
    farOverK: z.number().positive().max(30),
    rootZoneCeilingC: temperatureC,
    saturatedHours: z.number().positive().max(240),
    peakPpfdUmolM2S: z.number().positive().max(4_000),
    airFarTooColdC: temperatureC,
    rootZoneColdDegreeHours: z.number().positive().max(1_000),
    /** by rule; a place may set another */
    priority: z.partialRecord(z.enum(SETTABLE_RULES), z.enum(['high', 'medium', 'low'])),
  })
  .partial();

/** Constants of harm that a sheet sets otherwise; those of `HARM_SCALE` hold where it does not: h, and K or kPa. */
const harmConstants = z.strictObject({
  tolerableHours: z.number().positive().max(1_000),
  step: z.number().positive().max(100),
});

/** Light wanted in a day, mol m⁻² d⁻¹. */
const lightWanted = z
  .strictObject({ dailyLowMol: z.number().min(0).max(65), dailyHighMol: z.number().min(0).max(65) })
  .refine((band) => band.dailyLowMol < band.dailyHighMol, 'dailyLowMol must lie below dailyHighMol');

const mistEvery = z.number().min(0.5).max(240);

/** Minutes from one mist pulse to the next, by day and by night. */
const mistWanted = z.strictObject({ everyMinByDay: mistEvery, everyMinByNight: mistEvery }).partial();

/**
 * The bands set for a place, day and night, as a grower sets them.
 * Temperatures in °C, vapour pressure deficit in kPa, relative humidity in %RH,
 * clock times are local wall-clock times in the time zone of the installation.
 */
export const targetsSchema = z
  .strictObject({
    dayStart: clockTime,
    nightStart: clockTime,
    dayBy: dayBy.optional(),
    /** minutes over which a band moves from a switch of day and night on; absent: 0, it jumps */
    rampMin: z.number().min(0).max(240).optional(),
    rootZone: z.strictObject(dayAndNight),
    air: z.strictObject({ ...dayAndNight, ceilingC: temperatureC }),
    vpd: z
      .strictObject({ lowKpa: z.number().min(0).max(7), highKpa: z.number().min(0).max(7) })
      .refine((band) => band.lowKpa < band.highKpa, 'lowKpa must lie below highKpa'),
    saturation: z.strictObject({ relativeHumidityPct: z.number().min(50).max(100) }),
    light: lightWanted.optional(),
    /** counts for the rules of mist where the place itself states no interval */
    mist: mistWanted.optional(),
    alarms: alarmTargets.optional(),
    harm: z.partialRecord(z.enum(HARM_KINDS), harmConstants).optional(),
  })
  .refine((t) => t.dayStart !== t.nightStart, {
    message: 'dayStart and nightStart must differ',
    path: ['nightStart'],
  })
  .meta({ id: 'Targets' });

export type Targets = z.infer<typeof targetsSchema>;
export type TemperatureBandC = z.infer<typeof temperatureBand>;

/** Targets with the instant (ms since epoch) from which they hold. */
export type TargetsFrom = { readonly fromMs: number; readonly targets: Targets };

/** A target sheet: targets for a kind of cutting, with where each figure comes from. */
export const targetSheetSchema = z.strictObject({
  id: z.string(),
  name: z.string(),
  targets: targetsSchema,
  sources: z.record(z.string(), z.string()),
});

export type TargetSheet = z.infer<typeof targetSheetSchema>;
