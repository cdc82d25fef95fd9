import { z } from 'zod';

/** What the cuttings may stand in, as it is asked for a new place. */
export const SET_UP_KINDS = ['dome', 'case', 'bench', 'frame'] as const;

/** Kinds of cuttings that bands are known for; a trade word each. */
export const ROOTS = [
  'herbaceous',
  'softwood',
  'semi-hardwood',
  'hardwood',
  'leaf',
  'succulent',
  'conifer',
] as const;

/** What is asked about a place that a first contact made: what it is, whether it has a heating mat, what roots in it. */
export const setUpSchema = z
  .strictObject({ kind: z.enum(SET_UP_KINDS), mat: z.boolean(), roots: z.enum(ROOTS) })
  .meta({
    id: 'SetUp',
    description: 'The three answers about a new place; bands that fit follow from them.',
  });

export type SetUp = z.infer<typeof setUpSchema>;
export type Roots = (typeof ROOTS)[number];
