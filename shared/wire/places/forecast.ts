import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { NOTICE_RULES } from '../../rules/ids.ts';

/** Quantities that are forecast. */
export const FORECAST_QUANTITIES = ['airTemperatureC', 'rootZoneTemperatureC'] as const;
export type ForecastQuantity = (typeof FORECAST_QUANTITIES)[number];

const pointSchema = z.strictObject({
  t: z.string(),
  value: z.number(),
  low80: z.number().describe('four of five values lie between this and `high80`'),
  high80: z.number(),
});

const limitSchema = z.strictObject({
  kind: z.enum(['air-over-ceiling', 'root-zone-below-band']),
  value: z.number().describe('the limit where it is reached, else where the forecast ends, °C'),
  reachedAt: z.string().nullable().describe('null: not within two hours; `at` where it is beyond already'),
  earliest: z.string().nullable().describe('by the bound that reaches it first'),
  latest: z
    .string()
    .nullable()
    .describe('by the bound that reaches it last; null where it may not be reached'),
});

const skillSchema = z.strictObject({
  horizonMin: z.number(),
  maeK: z.number().describe('mean absolute error of the forecasts of the last 14 days'),
  persistenceMaeK: z.number().describe('the same of "as it was then"'),
  lineMaeK: z.number().describe('the same of the straight line through the hour before'),
  days: z.number().describe('days that were scored, 1 to 14'),
});

/** Why no forecast is shown. */
const NOT_SHOWN = ['no-probe', 'learning', 'no-recent-reading', 'no-skill', 'unusual'] as const;

export const forecastSchema = z
  .strictObject({
    at: z.string(),
    quantity: z.enum(FORECAST_QUANTITIES),
    newest: z.number().nullable().describe('the value it starts from, °C'),
    points: z
      .array(pointSchema)
      .describe('every 5 min up to 2 h, an estimate, °C; none where nothing can be said'),
    limit: limitSchema.nullable(),
    skill: skillSchema.nullable().describe('null until a day of forecasts was scored'),
    shown: z.boolean().describe('false where it did no better than "as now" or a straight line'),
    reason: z
      .enum(NOT_SHOWN)
      .nullable()
      .describe('why it is not shown; unusual: it is far from where it was in three weeks'),
  })
  .meta({ id: 'Forecast', description: 'The next two hours, from the record of the place alone.' });
/** How the early notices of a place did. */
const earlyNoticesSchema = z
  .strictObject({
    placeId: z.string(),
    name: z.string(),
    rule: z.enum(NOTICE_RULES).describe('what was expected'),
    days: z.number().describe('days that are counted'),
    hits: z.number().describe('it came as it said'),
    misses: z.number().describe('it came without a notice early enough before'),
    wrong: z.number().describe('it did not come, and nobody had answered the notice'),
    averted: z
      .number()
      .describe('it did not come, and somebody had answered: whether it was wrong nobody knows'),
    medianLeadMin: z.number().nullable(),
    heldBack: z.boolean().describe('more than one in four was wrong: none is given'),
  })
  .meta({ id: 'EarlyNotices' });
export type EarlyNotices = Output<typeof earlyNoticesSchema>;

export const earlyNoticesAnswerSchema = z
  .strictObject({ places: z.array(earlyNoticesSchema) })
  .meta({ id: 'EarlyNoticesAnswer' });

export type ForecastAnswer = Output<typeof forecastSchema>;
