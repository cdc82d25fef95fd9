import { z } from 'zod';
import { nameSchema } from '../name.ts';
import type { Output } from '../output.ts';
import { ROOTS, SET_UP_KINDS } from '../set-up.ts';
import { targetsSchema } from '../targets.ts';

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
const sheetStageSchema = z.strictObject({
  id: z.enum(STAGE_IDS),
  name: nameSchema,
  days: stageDays.nullable(),
  targets: targetsSchema,
});

const MOST_SOURCE_CHARACTERS = 600;

/** Characters of a sheet's id: it stands in addresses. */
export const sheetIdSchema = z.string().regex(/^[a-z0-9][a-z0-9-]{0,63}$/, 'an id of a-z, 0-9 and -');

/** Most versions of own sheets that are kept, of all of them together. */
export const MAX_OWN_SHEET_VERSIONS = 1_000;

/** What a figure of an own sheet says of itself until somebody says more. */
export const OWN_FIGURE = 'own figure, no source';

const areAllInOrder = (stages: readonly { readonly id: StageId }[]): boolean =>
  stages.map(({ id }) => id).join() === STAGE_IDS.join();
const ALL_IN_ORDER = `the stages are ${STAGE_IDS.join(', ')}, each once and in this order`;

const described = {
  crop: nameSchema,
  cuttingType: z.enum(ROOTS),
  placeKinds: z.array(z.enum(SET_UP_KINDS)).min(1).max(SET_UP_KINDS.length),
  bottomHeat: z.boolean(),
};

/** By `<stage>.<path of the figure>`, as `rooting.rootZone.day.lowC`: its source, or that there is none. */
const sourcesSchema = z.record(z.string(), z.string().trim().min(1).max(MOST_SOURCE_CHARACTERS));

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
    ...described,
    stages: z.array(sheetStageSchema).refine(areAllInOrder, ALL_IN_ORDER),
    sources: sourcesSchema,
  })
  .meta({
    id: 'Sheet',
    description: 'A target sheet: bands for each stage of a crop, each with its source.',
  });

/**
 * An own sheet as it is given: what GET answers, of which id, version and whether it is an own one are not looked at.
 * A stage without a name has that of the trade; a figure without a source is an own one.
 */
export const newSheetSchema = z
  .strictObject({
    id: z.unknown().optional(),
    version: z.unknown().optional(),
    own: z.unknown().optional(),
    name: nameSchema,
    ...described,
    stages: z
      .array(sheetStageSchema.extend({ name: nameSchema.optional() }))
      .refine(areAllInOrder, ALL_IN_ORDER),
    sources: sourcesSchema.optional(),
  })
  .meta({ id: 'NewSheet' })
  .transform(({ id: _id, version: _version, own: _own, ...given }, context): SheetContent => {
    const stages = given.stages.map((stage) => ({ ...stage, name: stage.name ?? STAGES[stage.id] }));
    const paths = figurePaths(stages);
    for (const path of Object.keys(given.sources ?? {}))
      if (!paths.includes(path))
        context.addIssue({
          code: 'custom',
          path: ['sources', path],
          message: 'names no figure of the sheet',
        });
    const sources = Object.fromEntries(paths.map((path) => [path, given.sources?.[path] ?? OWN_FIGURE]));
    return { ...given, stages, sources };
  });

/** What of a sheet is the grower's: all but its id, its version and whose it is. */
export type SheetContent = Omit<Sheet, 'id' | 'version' | 'own'>;
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

/** The figures of a value, each with its whole path. */
export function leavesOf(value: unknown, path = ''): [string, unknown][] {
  if (typeof value !== 'object' || value === null) return [[path, value]];
  return Object.entries(value).flatMap(([name, inner]) =>
    leavesOf(inner, path === '' ? name : `${path}.${name}`),
  );
}

/** The figures of the stages of a sheet, as its sources name them. @example figurePaths(sheet.stages)[0] // 'sticking.days.low' */
function figurePaths(stages: readonly SheetStage[]): string[] {
  return stages.flatMap(({ id, days, targets }) =>
    leavesOf({ ...(days && { days }), ...targets }).map(([path]) => `${id}.${path}`),
  );
}
