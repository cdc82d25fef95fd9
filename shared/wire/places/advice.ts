import { z } from 'zod';
import type { Output } from '../../model/output.ts';

const intervalSchema = z
  .strictObject({ middleMin: z.number(), fromMin: z.number(), toMin: z.number() })
  .describe('usual minutes from pulse to pulse; three of four lie between the other two');

const timerOutcomeSchema = z.strictObject({
  timer: z.enum(['fixed', 'stepped', 'advised']),
  pulses: z.number(),
  waterLM2: z.number().describe('water on the leaves, L/m²'),
  dryMinutes: z.number().describe('minutes in light with dry leaves'),
  saturatedHours: z.number().describe('hours with wet leaves in saturated air'),
  light: intervalSchema.nullable(),
  dark: intervalSchema.nullable(),
});

export const mistAdviceSchema = z
  .strictObject({
    placeId: z.string(),
    from: z.string(),
    to: z.string(),
    coveredHours: z.number(),
    everyMin: z.number().nullable().describe('the interval of the fixed timer, as stated, wanted or read'),
    crop: z.string().nullable(),
    ageDays: z.number().nullable().describe('days since the youngest batch was stuck'),
    timers: z.array(timerOutcomeSchema).describe('what each would have done on this record; an estimate'),
    waterSavedShare: z.number().nullable().describe('by the advised timer, of the fixed one'),
    assumptions: z.array(z.string()),
    reason: z
      .enum(['no-air', 'no-light', 'no-interval', 'too-little'])
      .nullable()
      .describe('why nothing is advised'),
  })
  .meta({ id: 'MistAdvice', description: 'Advice on the mist interval; nothing is switched by it.' });
export type MistAdvice = Output<typeof mistAdviceSchema>;

export const HELPERS = ['shade', 'vent'] as const;

export const helpedSchema = z
  .strictObject({
    placeId: z.string(),
    date: z.string().describe('the day before, by the clock of the installation'),
    what: z.enum(HELPERS),
    transmission: z.number().nullable().describe('of a shade: share of the light let through'),
    ceilingC: z.number(),
    as: z
      .strictObject({ peakC: z.number(), hoursOverCeiling: z.number() })
      .nullable()
      .describe('as it was read'),
    would: z
      .strictObject({
        peakC: z.number(),
        low80C: z.number(),
        high80C: z.number(),
        hoursOverCeiling: z.number(),
      })
      .nullable()
      .describe('as it would have been; an estimate'),
    skill: z
      .strictObject({ maeK: z.number(), beforeMaeK: z.number(), days: z.number() })
      .nullable()
      .describe('how the model did on days that it had not seen, and "as the day before" did'),
    reason: z.enum(['no-probes', 'learning', 'no-skill', 'no-day', 'no-vents']).nullable(),
  })
  .meta({ id: 'WouldHaveHelped', description: 'What a shade or a vent would have done to the day before.' });
export type WouldHaveHelped = Output<typeof helpedSchema>;

export const heatPaidSchema = z
  .strictObject({
    placeId: z.string(),
    from: z.string(),
    to: z.string(),
    how: z
      .enum(['measured', 'duty'])
      .nullable()
      .describe('from `heat/power`, or from how much of the time the root zone was heated, at `ratedW`'),
    ratedW: z.number().nullable(),
    days: z.array(
      z.strictObject({
        date: z.string(),
        kWh: z.number().nullable(),
        heldKh: z.number().describe('degree-hours by which the root zone was kept above the air'),
        coveredHours: z.number(),
      }),
    ),
    kWh: z.number().nullable(),
    heldKh: z.number(),
    wattHoursPerKh: z.number().nullable().describe('Wh for each degree-hour held'),
    rooted: z
      .number()
      .nullable()
      .describe('rooted cuttings of the newest counts of batches that stood there'),
    kWhPerRooted: z.number().nullable(),
    reason: z.enum(['no-root-zone', 'no-power']).nullable(),
  })
  .meta({ id: 'HeatPaid', description: 'Energy of bottom heat, and what it held.' });
export type HeatPaid = Output<typeof heatPaidSchema>;
