import { z } from 'zod';
import { nameSchema } from '../name.ts';
import { batchBodySchema, batchDetailsSchema } from './batch.ts';
import { sheetIdSchema } from './sheet.ts';

/** Most plans that are kept, deleted ones too. */
export const MAX_PREPARATIONS = 1_000;
/** Most steps of one plan. */
export const MAX_PREPARATION_STEPS = 40;
/** How long before sticking a step may be due, days. */
const MAX_DAYS_BEFORE = 1_500;

export const stepIdSchema = z
  .string()
  .regex(/^[a-z0-9-]{1,40}$/, 'must be 1 to 40 small letters, digits and hyphens');
/** A calendar day of the installation. */
const daySchema = z.iso.date({ error: () => 'must be a day, such as 2026-03-01' });

const saysDays = `must be from 0 to ${MAX_DAYS_BEFORE} days`;

/** One step as it was chosen, counted back from sticking; `name` for one of the grower's own. */
export const chosenStepSchema = z.strictObject({
  id: stepIdSchema,
  name: nameSchema.nullable(),
  daysBefore: z.int().min(0, saysDays).max(MAX_DAYS_BEFORE, saysDays),
});
const keptStepSchema = chosenStepSchema.extend({ doneMs: z.number().nullable() });
export type KeptStep = z.infer<typeof keptStepSchema>;

const { crop, count } = batchBodySchema.shape;
const { cultivar, stockPlant, medium, tray, position, hormone, hormoneStrength, note } =
  batchDetailsSchema.shape;

/** What may be written down of a batch that is planned; null where nothing was. */
export const preparationDetailsSchema = z.strictObject({
  cultivar,
  placeId: z.string().min(1).max(100).nullable(),
  sheetId: sheetIdSchema.nullable(),
  count: count.nullable(),
  stockPlant,
  /** who allowed it, or what stands against it */
  permission: z.string().trim().min(1).max(200).nullable(),
  medium,
  mediumState: z.enum(['new', 'opened'], { error: () => 'must be new or opened' }).nullable(),
  mediumSterile: z.boolean().nullable(),
  tray,
  position,
  hormone,
  hormoneStrength,
  note,
});
export type PreparationDetails = z.infer<typeof preparationDetailsSchema>;

/** A plan of which nothing besides crop and day is known. */
export const NO_PREPARATION_DETAILS: PreparationDetails = {
  cultivar: null,
  placeId: null,
  sheetId: null,
  count: null,
  stockPlant: null,
  permission: null,
  medium: null,
  mediumState: null,
  mediumSterile: null,
  tray: null,
  position: null,
  hormone: null,
  hormoneStrength: null,
  note: null,
};

/** What is kept of a plan. */
export const preparationBodySchema = z.strictObject({
  crop,
  stickOn: daySchema,
  ...preparationDetailsSchema.shape,
  steps: z.array(keptStepSchema).max(MAX_PREPARATION_STEPS),
});
export type PreparationBody = z.infer<typeof preparationBodySchema>;
