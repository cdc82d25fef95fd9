import { z } from 'zod';
import { nameSchema } from '../name.ts';
import { STAGE_IDS, sheetIdSchema } from './sheet.ts';
import { weaningPlanSchema } from './weaning.ts';

export const stageSchema = z.enum(STAGE_IDS, { error: () => `must be one of ${STAGE_IDS.join(', ')}` });

/** Most cuttings of one batch. */
const MAX_CUTTINGS = 1_000_000;
/** Most stages, moves, sheets and counts that one batch may have of each. */
export const MAX_ENTRIES = 200;
/** Most batches that are kept, deleted ones too. */
export const MAX_BATCHES = 5_000;

const cuttings = (least: number) => z.int().min(least).max(MAX_CUTTINGS);
const MAX_NOTE_CHARACTERS = 2_000;

/** What may be written down about a batch; null where nothing was. Times in ms since epoch. */
export const batchDetailsSchema = z.strictObject({
  cultivar: nameSchema.nullable(),
  /** the plant the cuttings were taken from */
  stockPlant: nameSchema.nullable(),
  cuttingType: nameSchema.nullable(),
  /** nodes of one cutting */
  nodes: z.int().min(1).max(100).nullable(),
  wound: nameSchema.nullable(),
  /** components and their ratio */
  medium: z.string().trim().min(1).max(200).nullable(),
  tray: nameSchema.nullable(),
  /** where on the bench it stands */
  position: nameSchema.nullable(),
  cutAtMs: z.number().nullable(),
  boxOpenedAtMs: z.number().nullable(),
  /** the place whose air probe lay in the box, from the cut to sticking; batches of before have none */
  boxPlaceId: z.string().min(1).max(100).nullable().default(null),
  /** local hour of the day at which it was cut, where the time is not known, 0…23 */
  cutHour: z.int().min(0).max(23).nullable(),
  /** as the grower records it: the label is the law */
  hormone: nameSchema.nullable(),
  hormoneStrength: nameSchema.nullable(),
  note: z.string().trim().min(1).max(MAX_NOTE_CHARACTERS).nullable(),
});
export type BatchDetails = z.infer<typeof batchDetailsSchema>;

/** A batch of which nothing besides crop, place, sheet, time and number is known. */
export const NO_DETAILS: BatchDetails = {
  cultivar: null,
  stockPlant: null,
  cuttingType: null,
  nodes: null,
  wound: null,
  medium: null,
  tray: null,
  position: null,
  cutAtMs: null,
  boxOpenedAtMs: null,
  boxPlaceId: null,
  cutHour: null,
  hormone: null,
  hormoneStrength: null,
  note: null,
};

/**
 * The sheet a batch was given, from a time on, ms since epoch: it keeps the version. `entered` counts edits of batches
 * and targets.
 */
const sheetFromSchema = z.strictObject({
  sheetId: sheetIdSchema,
  version: z.int().min(1),
  fromMs: z.number(),
  entered: z.int().min(0),
});
export type SheetFrom = z.infer<typeof sheetFromSchema>;

/** What is kept of a batch besides its times and numbers of rows. */
export const batchBodySchema = z.strictObject({
  crop: nameSchema,
  count: cuttings(1),
  /** ascending; the first from when it was stuck */
  sheets: z.array(sheetFromSchema).min(1).max(MAX_ENTRIES),
  weaning: weaningPlanSchema.nullable().optional(),
  ...batchDetailsSchema.shape,
});
export type BatchBody = z.infer<typeof batchBodySchema>;

/** How many cuttings one cause took. */
const lossSchema = z.strictObject({ cause: nameSchema, n: cuttings(1) });

/** How many of those potted on are of one grade, by the grower's own names of grades. */
const gradeSchema = z.strictObject({ grade: nameSchema, n: cuttings(1) });

/** Most causes, and most grades, of one count. */
const MAX_CAUSES = 20;

/**
 * How many cuttings were looked at, and what was found: those rooted by a tug test, those lost and those potted on are
 * among them; those of a grade among those potted on.
 */
const countShape = z.strictObject({
  looked: cuttings(1),
  rooted: cuttings(0),
  callused: cuttings(0).optional(),
  lost: z.array(lossSchema).max(MAX_CAUSES).optional(),
  potted: cuttings(0).optional(),
  grades: z.array(gradeSchema).max(MAX_CAUSES).optional(),
});
export type Count = z.infer<typeof countShape>;

function sumOf(of: readonly { readonly n: number }[] = []): number {
  return of.reduce((sum, { n }) => sum + n, 0);
}

function addsUp(count: Count, context: z.RefinementCtx): void {
  const fault = (path: string, message: string) =>
    context.addIssue({ code: 'custom', path: [path], message });
  const { looked, rooted, callused = 0, lost, potted = 0, grades } = count;
  if (rooted + sumOf(lost) > looked)
    fault('rooted', 'rooted and lost together must not be more than were looked at');
  if (callused > looked) fault('callused', 'must be at most as many as were looked at');
  if (potted + sumOf(lost) > looked)
    fault('potted', 'potted on and lost together must not be more than were looked at');
  if (sumOf(grades) > potted) fault('grades', 'must not be more together than were potted on');
}

export const countSchema = countShape.superRefine(addsUp);

/** A count as it is entered. @param at schema of the time at which they were looked at */
export function countAt<S extends z.ZodType>(at: S) {
  return z
    .strictObject({ ...countShape.shape, at })
    .superRefine(addsUp as (count: object, context: z.RefinementCtx) => void);
}
