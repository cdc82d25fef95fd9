import { z } from 'zod';
import { batchDetailsSchema, stageSchema } from '../../model/cuttings/batch.ts';
import type { Output } from '../../model/output.ts';
import { exposuresSchema } from '../places/exposures.ts';

const time = z.string().describe('RFC 3339, UTC');
const entryNumber = z.number().describe('number of the entry within its batch: stays as it is');

const stageViewSchema = z
  .strictObject({ n: entryNumber, stage: stageSchema, from: time, to: time.nullable() })
  .meta({ id: 'BatchStage', description: 'A stage of a batch; `to` is null while it lasts.' });
export type StageView = Output<typeof stageViewSchema>;

const stayViewSchema = z
  .strictObject({
    n: entryNumber.describe('0: where it was stuck; else the number of the move'),
    placeId: z.string().nullable().describe('null: that place was removed with its record'),
    from: time,
    to: time.nullable(),
  })
  .meta({ id: 'BatchStay', description: 'Where a batch stood; `to` is null while it stands there.' });
export type StayView = Output<typeof stayViewSchema>;

const countViewSchema = z
  .strictObject({
    n: entryNumber,
    at: time,
    looked: z.number().describe('cuttings looked at; those rooted and lost are among them'),
    rooted: z.number().describe('by tug test'),
    callused: z.number().nullable(),
    lost: z.array(z.strictObject({ cause: z.string(), n: z.number() })),
    potted: z.number().nullable().describe('potted on'),
    grades: z
      .array(z.strictObject({ grade: z.string(), n: z.number() }))
      .describe('of those potted on, by the names of the grower'),
  })
  .meta({ id: 'BatchCount', description: 'What was found when cuttings of a batch were looked at.' });
export type CountView = Output<typeof countViewSchema>;

export const strikeSchema = z
  .strictObject({
    looked: z.number(),
    rooted: z.number(),
    share: z.number().describe('0…1'),
    low95: z.number().describe('ends of the 95 % interval'),
    high95: z.number(),
    method: z.literal('Wilson'),
  })
  .meta({ id: 'Strike', description: 'Share rooted of those looked at, by the newest count.' });
export type Strike = Output<typeof strikeSchema>;

const dueStageSchema = z
  .strictObject({
    stage: stageSchema.describe('the next of the sheet'),
    from: time.describe('earliest by the days of the sheet'),
    to: time.describe('latest by the days of the sheet'),
    state: z.enum(['ahead', 'due', 'late']).describe('due: from the local day of `from` to that of `to`'),
  })
  .meta({
    id: 'DueStage',
    description: 'When the next stage is expected. It is shown only: somebody enters the stage.',
  });
export type DueStage = Output<typeof dueStageSchema>;

const { cutAtMs: _cut, boxOpenedAtMs: _opened, boxPlaceId: _box, ...details } = batchDetailsSchema.shape;

export const batchSchema = z
  .strictObject({
    id: z.string(),
    placeId: z.string().nullable().describe('where it stands, or stood last; null: that place was removed'),
    crop: z.string(),
    sheetId: z.string(),
    sheetVersion: z.number(),
    stuckAt: time,
    count: z.number(),
    state: z.enum(['open', 'closed']),
    closedAt: time.nullable(),
    deletedAt: time.nullable().describe('null unless it was deleted, which can be undone'),
    leading: z.boolean().describe('its stage sets the bands of the place now'),
    stage: stageSchema.describe('of now, or the last before it was closed'),
    stages: z.array(stageViewSchema),
    stays: z.array(stayViewSchema),
    counts: z.array(countViewSchema).describe('in the order of time'),
    strike: strikeSchema.nullable().describe('null before the first count'),
    due: dueStageSchema
      .nullable()
      .describe('null in the last stage, once closed, and where the sheet states no days'),
    ...details,
    cutAt: time.nullable(),
    boxOpenedAt: time.nullable(),
    boxPlaceId: z.string().nullable().describe('the place whose air probe lay in the box until sticking'),
  })
  .meta({ id: 'Batch', description: 'A batch of cuttings: where it stood, its stages and its counts.' });
export type Batch = Output<typeof batchSchema>;

export const leadingSchema = z
  .strictObject({
    placeId: z.string(),
    batchId: z.string().nullable().describe('the batch whose stage sets the bands now; null: none does'),
    chosen: z.boolean().describe('false: it leads as the first open batch there'),
  })
  .meta({ id: 'Leading' });
export type Leading = Output<typeof leadingSchema>;

export const batchExposuresSchema = z
  .strictObject({
    whole: exposuresSchema,
    stages: z.array(
      z.strictObject({
        n: entryNumber,
        stage: stageSchema,
        from: time,
        to: time,
        exposures: exposuresSchema,
      }),
    ),
    missing: z
      .array(z.strictObject({ placeId: z.string().nullable(), from: time, to: time }))
      .describe('stays at places that are archived or removed: nothing of them is counted'),
  })
  .meta({
    id: 'BatchExposures',
    description:
      'Exposures of a batch: the sum over the places where it stood. `placeId` names the last of them.',
  });
export type BatchExposures = Output<typeof batchExposuresSchema>;

export const batchThermalTimeSchema = z
  .strictObject({
    baseC: z.number().nullable(),
    optimumC: z.number().nullable(),
    stopC: z.number().nullable(),
    degreeHours: z.number().nullable().describe('K·h in the root zone; null where the crop has no limits'),
    coveredHours: z.number().nullable(),
    source: z.string().nullable().describe('key of the paper; null where the caller stated the limits'),
    reason: z.string().nullable().describe('why there is none'),
  })
  .meta({
    id: 'BatchThermalTime',
    description: 'Thermal time of a batch since it was stuck, by the limits of its crop.',
  });
export type BatchThermalTime = Output<typeof batchThermalTimeSchema>;

const differenceSchema = z
  .strictObject({
    difference: z.number().describe('share rooted of the first less that of the second, −1…1'),
    low95: z.number(),
    high95: z.number(),
    method: z.literal('Newcombe'),
    toldApart: z.boolean().describe('false where the interval holds 0'),
    better: z.string().nullable().describe('id of the batch that struck better; null unless told apart'),
  })
  .meta({ id: 'StrikeDifference' });
export type StrikeDifference = Output<typeof differenceSchema>;

const meanDifferenceSchema = z
  .strictObject({
    quantity: z.enum(['airTemperatureC', 'rootZoneTemperatureC']),
    difference: z
      .number()
      .nullable()
      .describe('mean of the first less that of the second, K; null where not read'),
    sensorErrorK: z.number().describe('what the sensors of both places may be off by together'),
    toldApart: z.boolean().describe('false where the difference is no larger than that'),
  })
  .meta({ id: 'MeanDifference' });
export type MeanDifference = Output<typeof meanDifferenceSchema>;

const comparedSchema = z
  .strictObject({
    id: z.string().describe('of the batch, or of the bench'),
    batchId: z.string().describe('the batch; of a bench the one whose days since sticking are counted'),
    strike: strikeSchema.nullable(),
    exposures: exposuresSchema.describe('since it was stuck, over as many days as the shortest has'),
    thermalTime: batchThermalTimeSchema,
  })
  .meta({ id: 'ComparedBatch' });

export const compareSchema = z
  .strictObject({
    strike: differenceSchema.nullable().describe('of the first two; null where one has no count yet'),
    pairs: z.array(
      z.strictObject({
        first: z.string(),
        second: z.string(),
        strike: differenceSchema.nullable(),
        means: z.array(meanDifferenceSchema),
      }),
    ),
    hours: z.number().describe('since sticking, that all are compared over'),
    batches: z.array(comparedSchema),
  })
  .meta({ id: 'Comparison', description: 'Batches beside each other, over the same time since sticking.' });
export type Comparison = Output<typeof compareSchema>;

const dayComparedSchema = z
  .strictObject({
    rootZoneMeanC: z.number().nullable(),
    airMeanC: z.number().nullable(),
    airMaxC: z.number().nullable(),
    vpdMeanKpa: z.number().nullable(),
    hoursSaturated: z.number().nullable(),
    molM2: z.number().nullable().describe('light, mol m⁻²'),
    thermalDegreeHours: z.number().nullable().describe('K·h; null where the crop has no limits'),
    harm: z.number().nullable(),
  })
  .meta({ id: 'ComparedDay', description: 'A day since sticking; null where nothing was read.' });
export const compareDaysSchema = z
  .strictObject({
    ids: z.array(z.string()).describe('as asked: batches, or benches'),
    days: z.array(
      z.strictObject({
        day: z.number().describe('since sticking, from 1; the last may be cut short'),
        values: z.array(dayComparedSchema).describe('in the order of `ids`'),
      }),
    ),
  })
  .meta({
    id: 'CompareDays',
    description: 'Batches or benches beside each other, day by day since sticking.',
  });
export type CompareDays = Output<typeof compareDaysSchema>;
