import { z } from 'zod';
import type { Output } from '../../model/output.ts';

const explainedInputSchema = z
  .strictObject({
    name: z.string(),
    value: z.union([z.number(), z.string()]),
    unit: z.string(),
    at: z.string().nullable().describe('RFC 3339, when it was read; null for a setting'),
    probe: z.string().nullable().describe('device and probe; null for a setting or a limit'),
  })
  .meta({ id: 'ExplainedInput', description: 'One thing a number was made from.' });
export type ExplainedInput = Output<typeof explainedInputSchema>;

export const explanationSchema = z
  .strictObject({
    of: z.string(),
    name: z.string(),
    value: z.number().nullable(),
    unit: z.string(),
    formula: z.string(),
    source: z.strictObject({ key: z.string(), text: z.string() }),
    inputs: z.array(explainedInputSchema),
    coverage: z.strictObject({ coveredHours: z.number(), ofHours: z.number() }).nullable(),
    errorRange: z
      .strictObject({ low: z.number(), high: z.number(), because: z.string() })
      .nullable()
      .describe('what the errors of the sensors leave open, in the unit of the value'),
    assumptions: z.array(z.string()),
  })
  .meta({ id: 'Explanation', description: 'Where a number shown or sent comes from.' });
export type Explanation = Output<typeof explanationSchema>;

const ventViewSchema = z
  .strictObject({
    id: z.number().nullable(),
    from: z.string(),
    to: z.string().nullable(),
    how: z.enum(['recognised', 'logged']),
    note: z.string().nullable(),
    lowestPct: z.number().nullable(),
    humidityBack: z.boolean().nullable(),
  })
  .meta({
    id: 'VentView',
    description:
      'A stretch in which the cover was open, recognised from the air or logged by hand (`id` set).',
  });
export type VentView = Output<typeof ventViewSchema>;

export const ventsAnswerSchema = z
  .strictObject({
    placeId: z.string(),
    from: z.string(),
    to: z.string(),
    vents: z.array(ventViewSchema),
    reliable: z.boolean().describe('false with a reason where recognised vents are not to be counted on'),
    reason: z.string().nullable(),
    hoursSinceVent: z.number().nullable(),
    hoursSaturatedSinceVent: z.number(),
  })
  .meta({ id: 'VentsAnswer' });
export type VentsAnswer = Output<typeof ventsAnswerSchema>;

const filmEstimateSchema = z
  .strictObject({
    atAirTemperatureMin: z
      .number()
      .nullable()
      .describe(
        'minutes with the leaf held at air temperature, and with the leaf cooled by evaporation; null: it never dries',
      ),
    cooledMin: z.number().nullable(),
    inLight: z
      .strictObject({ dryingMin: z.number().nullable(), netRadiationWM2: z.number() })
      .nullable()
      .describe(
        'the same with the light measured now warming the leaf, and the heat taken up from it; null in the dark or without light',
      ),
    assumptions: z.array(z.string()),
  })
  .meta({
    id: 'FilmEstimate',
    description:
      'Time for a film to dry off a leaf at the present air: an estimated upper bound for the mist interval.',
  });
export type FilmEstimate = Output<typeof filmEstimateSchema>;

export const mistAnswerSchema = z
  .strictObject({
    placeId: z.string(),
    from: z.string(),
    to: z.string(),
    how: z.enum(['valve', 'humidity', 'wetness']).nullable(),
    pulses: z.number(),
    pulseTimes: z
      .array(z.string())
      .describe('when each began, ascending; absent where there are more than 600')
      .exactOptional(),
    pulsesPerHourInLight: z.number().nullable(),
    pulsesPerHourInDark: z.number().nullable(),
    missed: z.number().nullable(),
    patternMin: z.number().nullable(),
    patternFrom: z.enum(['stated', 'wanted', 'from the record']).nullable(),
    longestDryGap: z.strictObject({ from: z.string(), to: z.string() }).nullable(),
    coveredHours: z.number(),
    reliable: z.boolean(),
    reason: z.string().nullable(),
    film: filmEstimateSchema.nullable(),
  })
  .meta({ id: 'MistAnswer' });
export type MistAnswer = Output<typeof mistAnswerSchema>;

export const thermalTimeSchema = z
  .strictObject({
    placeId: z.string(),
    from: z.string(),
    to: z.string(),
    baseC: z.number(),
    upperC: z.number().exactOptional(),
    optimumC: z.number().exactOptional(),
    stopC: z.number().exactOptional(),
    coveredHours: z.number(),
    degreeHours: z.number(),
  })
  .meta({
    id: 'ThermalTime',
    description:
      'Thermal time of the root zone, K·h: capped at `upperC`, or falling from `optimumC` to nothing at `stopC`.',
  });
export type ThermalTime = Output<typeof thermalTimeSchema>;
