import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { CHECK_KINDS, checkResultSchema, checkStepSchema } from '../../model/probes/check.ts';
import { correctionSchema } from '../../model/probes/correction.ts';

const criterionSchema = z
  .strictObject({
    name: z.enum(['in-place', 'fresh', 'unbroken', 'spread', 'slope', 'temperature']),
    met: z.boolean(),
    has: z.number().nullable().describe('null where nothing can be said yet'),
    needs: z.number(),
  })
  .meta({
    id: 'Criterion',
    description: 'What a step still waits for, as far as it is: both in the unit of the criterion.',
  });
export type Criterion = Output<typeof criterionSchema>;

const steadinessSchema = z
  .strictObject({
    steady: z.boolean(),
    criteria: z.array(criterionSchema),
    readings: z.number(),
    mean: z.number().nullable().describe('mean over the last stretch that is judged'),
    newest: z.number().nullable(),
    newestMs: z.number().nullable(),
    temperatureC: z.number().nullable().describe('of a salt solution, °C'),
    reference: z
      .number()
      .nullable()
      .describe('what it should read, with the uncertainty to either side; null where that is not known'),
    uncertainty: z.number().nullable(),
  })
  .meta({
    id: 'Steadiness',
    description:
      'How far a step that began has come to rest; values in the unit of the probe, as it reports them.',
  });
export type Steadiness = Output<typeof steadinessSchema>;

export const checkViewSchema = z
  .strictObject({
    id: z.number(),
    probeId: z.number(),
    kind: z.enum(CHECK_KINDS),
    by: z.string().nullable(),
    started: z.string(),
    ended: z.string().nullable(),
    temperature: z
      .union([z.strictObject({ probeId: z.number() }), z.strictObject({ celsius: z.number() })])
      .nullable(),
    steps: z.array(checkStepSchema),
    result: checkResultSchema.nullable(),
    at: z.number().nullable().describe('the step that is next or under way; null when all are taken'),
    steadiness: steadinessSchema.nullable().describe('of the step that is under way'),
  })
  .meta({
    id: 'CheckView',
    description: 'A check; times in RFC 3339, those within steps in ms since epoch.',
  });
export type CheckView = Output<typeof checkViewSchema>;

const probeTruthSchema = z
  .strictObject({
    probeId: z.number(),
    kinds: z.array(z.enum(CHECK_KINDS)).describe('how it can be checked'),
    limits: z
      .strictObject({ gain: z.tuple([z.number(), z.number()]), offset: z.tuple([z.number(), z.number()]) })
      .nullable()
      .describe('how far it may be corrected; null where it cannot be'),
    told: z
      .strictObject({ tMs: z.number(), value: z.number(), corrected: z.number() })
      .nullable()
      .describe('its newest reading as told, and as corrected; ms since epoch'),
    inForce: z
      .strictObject({ gain: z.number(), offset: z.number(), fromMs: z.number() })
      .nullable()
      .describe('what holds now; null where it is no correction'),
    corrections: z
      .array(correctionSchema)
      .describe('in the order in which they were entered, withdrawn ones too'),
    due: z.string().nullable().describe('RFC 3339; null where no check is due'),
    lastCheck: z.string().nullable(),
  })
  .meta({ id: 'ProbeTruth', description: 'What is known of the truth of one probe.' });
export type ProbeTruth = Output<typeof probeTruthSchema>;

export const checksAnswerSchema = z
  .strictObject({
    probes: z.array(probeTruthSchema),
    open: z.array(checkViewSchema),
    done: z.array(checkViewSchema).describe('newest first'),
  })
  .meta({ id: 'ChecksAnswer' });
export type ChecksAnswer = Output<typeof checksAnswerSchema>;
