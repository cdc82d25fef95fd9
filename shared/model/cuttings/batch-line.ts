import { z } from 'zod';
import { batchBodySchema, batchDetailsSchema, countAt, MAX_ENTRIES, stageSchema } from './batch.ts';
import { instantMs } from './identity-line.ts';
import { sheetIdSchema } from './sheet.ts';
import { weaningShape } from './weaning.ts';

const { crop, count } = batchBodySchema.shape;
const { cutAtMs: _cut, boxOpenedAtMs: _opened, ...details } = batchDetailsSchema.shape;

const entries = <T extends z.ZodType>(of: T) => z.array(of).max(MAX_ENTRIES);

/**
 * A batch as a line of its export has it. Its number is not looked at; times in RFC 3339, read as ms since epoch; what is left
 * out of the details was not written down.
 */
export const batchLineSchema = z
  .strictObject({
    id: z.unknown().optional(),
    crop,
    count,
    stuckAt: instantMs,
    closedAt: instantMs.nullable().optional(),
    sheets: entries(z.strictObject({ sheetId: sheetIdSchema, version: z.int().min(1), from: instantMs })).min(
      1,
    ),
    stages: entries(z.strictObject({ stage: stageSchema, from: instantMs })).min(1),
    stays: entries(z.strictObject({ placeId: z.string().min(1).max(100).nullable(), from: instantMs })).min(
      1,
    ),
    counts: entries(countAt(instantMs)),
    /** places at which it was chosen to lead, each from when */
    leads: entries(z.strictObject({ placeId: z.string().min(1).max(100), from: instantMs })),
    cutAt: instantMs.nullable(),
    boxOpenedAt: instantMs.nullable(),
    weaning: z.strictObject({ from: instantMs, ...weaningShape }).nullable(),
    ...details,
  })
  .partial({
    ...asOptional(details),
    cutAt: true,
    boxOpenedAt: true,
    counts: true,
    leads: true,
    weaning: true,
  });
export type BatchLine = z.output<typeof batchLineSchema>;

function asOptional<T extends object>(shape: T): { readonly [K in keyof T]: true } {
  return Object.fromEntries(Object.keys(shape).map((name) => [name, true])) as {
    readonly [K in keyof T]: true;
  };
}
