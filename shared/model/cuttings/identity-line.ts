import { z } from 'zod';
import { batchBodySchema } from './batch.ts';

/** A time of a file in RFC 3339, read as ms since epoch. */
export const instantMs = z.iso.datetime({ offset: true }).transform((text) => Date.parse(text));

/** By what a line names a batch; its number is that of another record and is not looked at. */
export const identityShape = {
  batch: z.unknown().optional(),
  batchCrop: batchBodySchema.shape.crop.nullable().optional(),
  batchStuckAt: instantMs.nullable().optional(),
  batchPlace: z.string().min(1).max(100).nullable().optional(),
};
