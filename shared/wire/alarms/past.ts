import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { LIMIT_RULES, type LimitRule } from '../../rules/rules.ts';

/** Rules that can be tried on the past: all that hold a number against a limit. */
export type TriableRule = LimitRule;

const pastAlarmViewSchema = z
  .strictObject({
    since: z.string(),
    raised: z.string(),
    returned: z.string().nullable(),
    worst: z.number(),
    harmBefore: z.number(),
    harmAfter: z.number(),
  })
  .meta({
    id: 'PastAlarmView',
    description: 'An alarm that would have been raised. Harm: see `PastAnswer`.',
  });
export type PastAlarmView = Output<typeof pastAlarmViewSchema>;

export const pastAnswerSchema = z
  .strictObject({
    placeId: z.string(),
    rule: z.enum(LIMIT_RULES),
    from: z.string(),
    to: z.string(),
    unit: z.string(),
    coveredHours: z.number(),
    tried: z.strictObject({
      limit: z.number().nullable().describe('null: the limit in force at each moment'),
      onDelayMin: z.number(),
      offDelayMin: z.number(),
      deadband: z.number(),
    }),
    alarms: z.array(pastAlarmViewSchema),
    perWeek: z.number(),
    harmIn: z
      .enum(['unit-hours', 'hours'])
      .describe(
        'how harm is counted: unit·h past the limit, or hours past it where the limit itself is a time',
      ),
    harm: z
      .number()
      .describe("past the place's own limit over the whole span, and of that with no active alarm"),
    harmUnsaid: z.number(),
  })
  .meta({ id: 'PastAnswer' });
export type PastAnswer = Output<typeof pastAnswerSchema>;
