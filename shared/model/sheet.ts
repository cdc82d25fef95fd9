import { z } from 'zod';
import { nameSchema } from './name.ts';
import type { Output } from './output.ts';
import { ROOTS, SET_UP_KINDS } from './set-up.ts';
import { targetsSchema } from './targets.ts';

/** The stages of a batch of cuttings from sticking to weaning, in order, with the names of the trade. */
export const STAGES = {
  sticking: 'sticking',
  callusing: 'callusing',
  rooting: 'rooting',
  toning: 'toning',
} as const;

export type StageId = keyof typeof STAGES;
export const STAGE_IDS = Object.keys(STAGES) as readonly StageId[] as readonly [StageId, ...StageId[]];

/** How long a stage is expected to take, days. */
const stageDays = z
  .strictObject({ low: z.number().min(0).max(730), high: z.number().min(0).max(730) })
  .refine((days) => days.low <= days.high, 'low must not lie above high');

/** One stage of a sheet: its bands, and the days it is expected to take; null: nothing is known about how long. */
export const sheetStageSchema = z.strictObject({
  id: z.enum(STAGE_IDS),
  name: nameSchema,
  days: stageDays.nullable(),
  targets: targetsSchema,
});

const MOST_SOURCE_CHARACTERS = 600;

/** Characters of a sheet's id: it stands in addresses. */
export const sheetIdSchema = z.string().regex(/^[a-z0-9][a-z0-9-]{0,63}$/, 'an id of a-z, 0-9 and -');

const allStagesInOrder = z
  .array(sheetStageSchema)
  .refine(
    (stages) => stages.map(({ id }) => id).join() === STAGE_IDS.join(),
    `the stages are ${STAGE_IDS.join(', ')}, each once and in this order`,
  );

/**
 * A target sheet: what a crop wants at each stage, where it stands, and where each figure comes from.
 * Its version counts from 1; a version that was given to a batch never changes.
 */
export const sheetSchema = z
  .strictObject({
    id: sheetIdSchema,
    version: z.number().int().min(1),
    name: nameSchema,
    /** made here, not shipped */
    own: z.boolean(),
    crop: nameSchema,
    cuttingType: z.enum(ROOTS),
    placeKinds: z.array(z.enum(SET_UP_KINDS)).min(1).max(SET_UP_KINDS.length),
    bottomHeat: z.boolean(),
    stages: allStagesInOrder,
    /** by `<stage>.<path of the figure>`, as `rooting.rootZone.day.lowC`: its source, or that there is none */
    sources: z.record(z.string(), z.string().trim().min(1).max(MOST_SOURCE_CHARACTERS)),
  })
  .meta({
    id: 'Sheet',
    description: 'A target sheet: bands for each stage of a crop, each with its source.',
  });

export type Sheet = Output<typeof sheetSchema>;
export type SheetStage = Output<typeof sheetStageSchema>;

/**
 * The stage of a sheet.
 * @example stageOf(sheet, 'rooting').targets.rootZone.day // the band of the root zone by day while it roots
 */
export function stageOf(sheet: Pick<Sheet, 'stages'>, stage: StageId): SheetStage {
  const found = sheet.stages.find(({ id }) => id === stage);
  if (!found) throw new RangeError(`no stage ${stage}`);
  return found;
}
