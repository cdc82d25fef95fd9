import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { FINDINGS, type FindingKind } from '../../model/probes/finding.ts';

const findingKindSchema = z.enum(Object.keys(FINDINGS) as [FindingKind, ...FindingKind[]]);

/** A finding as it is sent over HTTP: times in RFC 3339, words in °C. */
const findingViewSchema = z.strictObject({
  probeId: z.number().int(),
  probe: z.string(),
  placeId: z.string(),
  quantity: z.string(),
  finding: findingKindSchema,
  /** true: its readings are left out of exposures; false: they are counted as they came */
  leftOut: z.boolean(),
  since: z.iso.datetime(),
  /** null while it is active */
  until: z.iso.datetime().nullable(),
  orEarlier: z.boolean(),
  readings: z.number().int().min(0),
  spans: z.array(z.strictObject({ from: z.iso.datetime(), to: z.iso.datetime() })),
  facts: z.strictObject({
    seen: z.number(),
    limit: z.number().nullable(),
    other: z.number().nullable(),
    otherProbe: z.string().nullable(),
  }),
  words: z.strictObject({ headline: z.string(), why: z.string(), counted: z.string(), action: z.string() }),
});

export const findingsAnswerSchema = z.strictObject({
  findings: z.array(findingViewSchema),
  /** when the places were last looked at, the oldest check counting; null where a span was asked about or none is */
  lookedAt: z.iso.datetime().nullable(),
});

export type FindingView = Output<typeof findingViewSchema>;
export type FindingsAnswer = Output<typeof findingsAnswerSchema>;

export const leftOutReadingSchema = z
  .strictObject({
    t: z.string().describe('RFC 3339'),
    value: z.number(),
    probe: z.string().describe('device and name'),
    finding: findingKindSchema,
  })
  .meta({ id: 'LeftOutReading', description: 'A reading that is kept but is no measurement.' });
export type LeftOutReading = Output<typeof leftOutReadingSchema>;
