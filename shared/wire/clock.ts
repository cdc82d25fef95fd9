import { z } from 'zod';
import type { Output } from '../model/output.ts';

const jumpSchema = z.strictObject({
  id: z.number().int(),
  from: z.string(),
  to: z.string(),
  byS: z.number(),
  exact: z.boolean().describe('false: it was set back by this at least'),
});

const asideSchema = z.strictObject({
  jumpId: z.number().int(),
  probe: z.string(),
  placeId: z.string().nullable(),
  from: z.string(),
  to: z.string(),
  readings: z.number().int(),
});

export const clockAnswerSchema = z
  .strictObject({
    steady: z.boolean().describe('whether it was not set lately'),
    jumps: z
      .array(jumpSchema)
      .describe('newest first; `from`: what it would have shown, `to`: what it showed'),
    aside: z
      .array(asideSchema)
      .describe('readings that a wrong clock dated: kept beside the record, counted in nothing'),
  })
  .meta({
    id: 'ClockAnswer',
    description: 'When the wall clock was set, and what was set aside for it; times in RFC 3339.',
  });
export type ClockAnswer = Output<typeof clockAnswerSchema>;
