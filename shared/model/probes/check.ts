import { z } from 'zod';
import { SALT_NAMES } from '../../climate/salts.ts';

export const CHECK_KINDS = ['ice', 'salts', 'beside'] as const;
export type CheckKind = (typeof CHECK_KINDS)[number];

/** What a probe is held against. */
const referenceSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('ice') }),
  z.strictObject({ kind: z.literal('salt'), salt: z.enum(SALT_NAMES) }),
  z.strictObject({ kind: z.literal('probe'), probeId: z.int() }),
]);
export type Reference = z.infer<typeof referenceSchema>;

/** What was read and what it should have been, in the unit of the probe; `read` as the probe reported it. */
const takenSchema = z.strictObject({
  atMs: z.number(),
  readings: z.int(),
  read: z.number(),
  /** the same as corrected at that time */
  corrected: z.number(),
  reference: z.number(),
  /** of the reference, to either side */
  uncertainty: z.number(),
  /** stated for the probe, to either side */
  accuracy: z.number(),
  /** of a salt solution, °C */
  temperatureC: z.number().nullable(),
});
export type TakenReading = z.infer<typeof takenSchema>;

export const checkStepSchema = z.strictObject({
  reference: referenceSchema,
  /** since when the probe is in its bath, jar or place, ms since epoch; null before */
  sinceMs: z.number().nullable(),
  /** until when readings count; null: until now */
  untilMs: z.number().nullable(),
  taken: takenSchema.nullable(),
});
export type CheckStep = z.infer<typeof checkStepSchema>;

/** What a check comes to. */
export const checkResultSchema = z.strictObject({
  verdict: z.enum(['within', 'off', 'implausible']),
  /** what to correct by, from what the probe reports; null where nothing is to be corrected */
  proposal: z.strictObject({ gain: z.number(), offset: z.number() }).nullable(),
});
export type CheckResult = z.infer<typeof checkResultSchema>;

export const checkBodySchema = z.strictObject({
  kind: z.enum(CHECK_KINDS),
  by: z.string().nullable(),
  /** where the temperature of a salt solution is read, or what somebody read on another thermometer, °C */
  temperature: z
    .union([z.strictObject({ probeId: z.int() }), z.strictObject({ celsius: z.number() })])
    .nullable(),
  steps: z.array(checkStepSchema).min(1).max(4),
  result: checkResultSchema.nullable(),
});
export type CheckBody = z.infer<typeof checkBodySchema>;

/** A check as it is kept; times in ms since epoch. */
export type KeptCheck = {
  readonly id: number;
  readonly probeId: number;
  readonly startedMs: number;
  readonly endedMs: number | null;
  readonly body: CheckBody;
};

/** A check as it is ordered. */
export const newCheckSchema = z.strictObject({
  probeId: z.int(),
  kind: z.enum(CHECK_KINDS),
  /** for `salts`, one to four, driest first */
  salts: z.array(z.enum(SALT_NAMES)).min(1).max(4).optional(),
  /** for `beside`: the probe that is trusted */
  besideProbeId: z.int().optional(),
  /** for `salts`: the probe that reads the temperature in the jar, or its temperature, °C */
  temperatureProbeId: z.int().optional(),
  temperatureC: z.number().min(0).max(50).optional(),
});
export type NewCheck = z.infer<typeof newCheckSchema>;

const instant = z.iso.datetime({ offset: true });
/** Since when the probe is where it is checked; without it, from now. `until` ends a span of the past. */
export const beginStepSchema = z.strictObject({ since: instant.optional(), until: instant.optional() });
export const checkDueSchema = z.strictObject({ due: instant.nullable() });
