import { z } from 'zod';
import { batchBodySchema, batchDetailsSchema, countAt, stageSchema } from '../../model/cuttings/batch.ts';
import { sheetIdSchema as sheetId } from '../../model/cuttings/sheet.ts';
import {
  batchExposuresSchema,
  batchSchema,
  batchThermalTimeSchema,
  compareDaysSchema,
  compareSchema,
  leadingSchema,
  strikeSchema,
} from '../../wire/cuttings/batches.ts';
import { instantSchema, next, numberedSchema, oneOfSchema, paging, thermalLimits } from '../parameters.ts';
import type { Routes } from '../route.ts';

/** Most batches that are compared at once. */
const MAX_COMPARED = 8;

const params = { id: z.string().regex(/^\d{1,15}$/, 'GET /api/v1/batches lists them.') };
const numbered = {
  ...params,
  n: numberedSchema('GET /api/v1/batches/{id} lists its entries by number.'),
};

const { cutAtMs: _cut, boxOpenedAtMs: _opened, boxPlaceId: _box, ...details } = batchDetailsSchema.shape;
const { crop, count } = batchBodySchema.shape;
const placeId = z.string().min(1).max(100);
const detailsSchema = z
  .strictObject({
    ...details,
    cutAt: instantSchema.nullable(),
    boxOpenedAt: instantSchema.nullable(),
    boxPlaceId: placeId.nullable().describe('the place whose air probe lay in the box until sticking'),
  })
  .partial();

const newBatchSchema = z
  .strictObject({ placeId, crop, sheetId, stuckAt: instantSchema, count })
  .extend(detailsSchema.shape);

const batchPatchSchema = z
  .strictObject({
    crop,
    count,
    stuckAt: instantSchema,
    sheetId: sheetId.describe('its newest version holds from `sheetFrom` on, or from now'),
    sheetFrom: instantSchema,
    state: oneOfSchema(['open', 'closed']),
    closedAt: instantSchema.describe('with `state` closed; now unless given'),
  })
  .partial()
  .extend(detailsSchema.shape);

/** Batches of cuttings. */
export const BATCH_ROUTES = {
  'get /api/v1/batches': {
    id: 'listBatches',
    role: 'look',
    summary: 'Batches, newest first; those that were deleted with state=deleted',
    query: z.object({
      placeId: placeId.optional(),
      state: oneOfSchema(['open', 'closed', 'deleted']).optional(),
      ...paging,
    }),
    answer: z.strictObject({ batches: z.array(batchSchema), ...next }).meta({ id: 'BatchesAnswer' }),
  },
  'post /api/v1/batches': {
    id: 'addBatch',
    role: 'tend',
    summary: 'Begin a batch; the first open batch of a place leads',
    body: newBatchSchema,
    answer: batchSchema,
    status: 201,
  },
  'get /api/v1/batches/{id}': {
    id: 'getBatch',
    role: 'look',
    summary: 'One batch',
    params,
    answer: batchSchema,
  },
  'patch /api/v1/batches/{id}': {
    id: 'changeBatch',
    role: 'tend',
    summary: 'Change what is known of a batch, close it, or open it again',
    params,
    body: batchPatchSchema,
    answer: batchSchema,
  },
  'delete /api/v1/batches/{id}': {
    id: 'deleteBatch',
    role: 'tend',
    summary: 'Delete a batch; restoring undoes it',
    params,
  },
  'post /api/v1/batches/{id}/restore': {
    id: 'restoreBatch',
    role: 'tend',
    summary: 'Undo the deletion of a batch',
    params,
    answer: batchSchema,
  },
  'post /api/v1/batches/{id}/stages': {
    id: 'addBatchStage',
    role: 'tend',
    summary: 'The stage holds from that time on; one from the same time is replaced',
    params,
    body: z.strictObject({ stage: stageSchema, from: instantSchema }),
    answer: batchSchema,
    status: 201,
  },
  'delete /api/v1/batches/{id}/stages/{n}': {
    id: 'deleteBatchStage',
    role: 'tend',
    summary: 'Delete a stage that was entered, as if it never had been',
    params: numbered,
  },
  'post /api/v1/batches/{id}/moves': {
    id: 'moveBatch',
    role: 'tend',
    summary: 'The batch stands at that place from that time on',
    params,
    body: z.strictObject({ placeId, from: instantSchema }),
    answer: batchSchema,
    status: 201,
  },
  'delete /api/v1/batches/{id}/moves/{n}': {
    id: 'deleteBatchMove',
    role: 'tend',
    summary: 'Delete a move that was entered, as if it never had been',
    params: numbered,
  },
  'post /api/v1/batches/{id}/counts': {
    id: 'addBatchCount',
    role: 'tend',
    summary: 'Enter how many were looked at, how many of those are rooted, callused and lost',
    params,
    body: countAt(instantSchema),
    answer: batchSchema,
    status: 201,
  },
  'delete /api/v1/batches/{id}/counts/{n}': {
    id: 'deleteBatchCount',
    role: 'tend',
    summary: 'Delete a count',
    params: numbered,
  },
  'get /api/v1/batches/{id}/strike': {
    id: 'getStrike',
    role: 'look',
    summary: 'Share rooted by the newest count, with its 95 % interval',
    params,
    answer: strikeSchema,
  },
  'get /api/v1/batches/{id}/exposures': {
    id: 'getBatchExposures',
    role: 'look',
    summary: 'Exposures since it was stuck, whole and by stage, over the places where it stood',
    params,
    answer: batchExposuresSchema,
  },
  'get /api/v1/batches/{id}/thermal-time': {
    id: 'getBatchThermalTime',
    role: 'look',
    summary: 'Thermal time since it was stuck, by the limits of its crop or by those given',
    params,
    query: z.object({
      baseC: thermalLimits.baseC,
      optimumC: thermalLimits.optimumC,
      stopC: thermalLimits.stopC,
    }),
    answer: batchThermalTimeSchema,
  },
  'get /api/v1/compare': {
    id: 'compareBatches',
    role: 'look',
    summary: `Strike, exposures and thermal time of 2 to ${MAX_COMPARED} batches, or benches, beside each other`,
    query: comparedQuery(),
    answer: compareSchema,
  },
  'get /api/v1/compare/days': {
    id: 'compareDays',
    role: 'look',
    summary: 'The same day by day since sticking',
    query: comparedQuery(),
    answer: compareDaysSchema,
  },
  'get /api/v1/places/{id}/leading': {
    id: 'getLeading',
    role: 'look',
    summary: 'The batch whose stage sets the bands of a place',
    answer: leadingSchema,
  },
  'put /api/v1/places/{id}/leading': {
    id: 'setLeading',
    role: 'tend',
    summary: 'Choose the batch that leads, from now or a time on; null keeps the bands that hold',
    body: z.strictObject({ batchId: z.string().max(20).nullable(), from: instantSchema.optional() }),
    answer: leadingSchema,
  },
} as const satisfies Routes;

/** Batches, or benches with the batch that leads there: one of both. */
function comparedQuery() {
  return z
    .object({
      batches: idsSchema('batches', /^\d{1,15}$/).optional(),
      places: idsSchema('places', /^.{1,100}$/).optional(),
    })
    .refine(({ batches, places }) => (batches === undefined) !== (places === undefined), {
      path: ['batches'],
      message: `must be 2 to ${MAX_COMPARED} different ids of batches with commas between them, or "places" those of places`,
    });
}

/** Ids separated by commas, each once. */
function idsSchema(of: string, fitting: RegExp) {
  const message = `must be 2 to ${MAX_COMPARED} different ids of ${of} with commas between them`;
  return z.string({ error: () => message }).transform((text, context) => {
    const ids = text.split(',');
    const fits = ids.length >= 2 && ids.length <= MAX_COMPARED && new Set(ids).size === ids.length;
    if (fits && ids.every((id) => fitting.test(id))) return ids;
    context.issues.push({ code: 'custom', input: text, message });
    return z.NEVER;
  });
}
