import { z } from 'zod';
import { nameSchema } from '../name.ts';
import { ROOTS, SET_UP_KINDS } from '../set-up.ts';
import { STAGE_IDS, sheetIdSchema } from './sheet.ts';

/**
 * What a stage states: a figure, or a group of them, with its source by its path (`rootZone.day`; `rootZone.day+night`
 * for both); null takes away what the stage before had. The source is `KEY`, or `KEY: what it says`, of a key in
 * `sources.json`, or one of the words of `PLAIN_SOURCES`, which may be followed by more in the same way.
 */
const statedSchema = z.record(z.string(), z.union([z.null(), z.tuple([z.unknown(), z.string()])]));
const stagesSchema = z.partialRecord(z.enum(STAGE_IDS), statedSchema);

/** A shipped sheet as it is written down: each stage states only what differs from the one before. */
export const sheetSeedSchema = z.strictObject({
  id: sheetIdSchema,
  version: z.number().int().min(1),
  name: nameSchema,
  crop: nameSchema,
  cuttingType: z.enum(ROOTS),
  placeKinds: z.array(z.enum(SET_UP_KINDS)).min(1),
  bottomHeat: z.boolean(),
  /** what it begins from: what it does not state itself, stage by stage, holds as there; a later one over an earlier */
  from: z.array(z.string()),
  stages: stagesSchema,
});

/** Figures that several sheets begin from; they may begin from others in turn. */
export const startSeedSchema = z.strictObject({
  id: z.string(),
  from: z.array(z.string()).default([]),
  stages: stagesSchema,
});

export const bibliographySchema = z.record(
  z.string(),
  z.strictObject({ cite: z.string(), seen: z.enum(['whole', 'abstract', 'page', 'in part']) }),
);

export type SheetSeed = z.infer<typeof sheetSeedSchema>;
export type StartSeed = z.infer<typeof startSeedSchema>;
export type Bibliography = z.infer<typeof bibliographySchema>;

export type Stated = z.infer<typeof statedSchema>;
