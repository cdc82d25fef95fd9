import { z } from 'zod';
import type { Output } from '../model/output.ts';

export const alarmWordsSchema = z
  .strictObject({ headline: z.string(), detail: z.string(), action: z.string() })
  .meta({ id: 'AlarmWords', description: 'What an alarm says, ready to read; a text may be empty.' });
export type AlarmWords = Output<typeof alarmWordsSchema>;

const unmistedFactsSchema = z
  .strictObject({
    crop: z.string(),
    ageDays: z.number().describe('days since it was stuck'),
    minutes: z.number().describe('how long it is estimated to stand without mist in that air and light, min'),
    low: z.number().describe('the short end of that estimate, min'),
  })
  .meta({
    id: 'UnmistedFacts',
    description: 'The batch of a place that stands the shortest without mist, as estimated.',
  });
export type UnmistedFacts = Output<typeof unmistedFactsSchema>;

const pastLimitFactsSchema = z
  .strictObject({
    kind: z.literal('past-limit'),
    value: z.number(),
    limit: z.number(),
    worst: z.number().describe('the furthest beyond the limit since it began'),
    sinceMs: z.number(),
    atMs: z.number(),
    slopePerMin: z.number().nullable(),
    moved: z
      .enum(['limit', 'correction'])
      .describe('present where the value is within because its limit was moved, or its probe corrected')
      .exactOptional(),
    unmisted: unmistedFactsSchema
      .describe('present where the limit follows from how long cuttings stand without mist')
      .exactOptional(),
  })
  .meta({
    id: 'PastLimitFacts',
    description:
      'A value beyond the limit of its rule, in the unit of the rule; slope in that unit per minute; times in ms since epoch.',
  });
export type PastLimitFacts = Output<typeof pastLimitFactsSchema>;

const noDataFactsSchema = z
  .strictObject({
    kind: z.literal('no-data'),
    silent: z.array(z.strictObject({ probe: z.string(), lastMs: z.number() })),
    wholePlace: z.boolean(),
    blind: z.array(z.string()).describe('rules that cannot be judged without these probes').exactOptional(),
    matters: z
      .enum(['heat', 'near-ceiling', 'mist'])
      .nullable()
      .describe(
        'why it is of high priority: nothing else measures the heat, the air was within 2 K of its ceiling, or mist cannot be judged while there is light',
      )
      .exactOptional(),
  })
  .meta({ id: 'NoDataFacts', description: 'Probes that do not report; times in ms since epoch.' });
export type NoDataFacts = Output<typeof noDataFactsSchema>;

const wasBlindFactsSchema = z
  .strictObject({ kind: z.literal('was-blind'), fromMs: z.number(), toMs: z.number() })
  .meta({ id: 'WasBlindFacts', description: 'A span in which nothing was monitored, or nothing reported.' });
export type WasBlindFacts = Output<typeof wasBlindFactsSchema>;

const probeSuspectFactsSchema = z
  .strictObject({
    kind: z.literal('probe-suspect'),
    findings: z.array(z.strictObject({ probe: z.string(), finding: z.string(), sinceMs: z.number() })),
  })
  .meta({ id: 'ProbeSuspectFacts' });
export type ProbeSuspectFacts = Output<typeof probeSuspectFactsSchema>;

const ceilingExpectedFactsSchema = z
  .strictObject({
    kind: z.literal('ceiling-expected'),
    valueC: z.number().describe('the air at `atMs`'),
    ceilingC: z.number(),
    expectedMs: z.number().describe('when the forecast reaches the ceiling'),
    earliestMs: z.number().describe('when the upper of its bounds does'),
    latestMs: z.number().nullable().describe('when the lower does; null: not within two hours'),
    byDay: z.boolean(),
    atMs: z.number(),
  })
  .meta({
    id: 'CeilingExpectedFacts',
    description: 'When the air is expected to reach its ceiling, an estimate; times in ms since epoch.',
  });
export type CeilingExpectedFacts = Output<typeof ceilingExpectedFactsSchema>;

const floorExpectedFactsSchema = z
  .strictObject({
    kind: z.literal('floor-expected'),
    valueC: z.number().describe('the root zone at `atMs`'),
    floorC: z.number().describe('the low edge of its band by night'),
    expectedMs: z.number().nullable().describe('when the forecast reaches it; null: not within two hours'),
    morningMs: z.number().describe('when the night ends'),
    lowest: z
      .strictObject({ valueC: z.number(), low80C: z.number(), high80C: z.number() })
      .nullable()
      .describe('the lowest until the morning, and between what it lies in four of five nights'),
    atMs: z.number(),
  })
  .meta({
    id: 'FloorExpectedFacts',
    description:
      'The root zone is expected to fall below its band by morning, an estimate; times in ms since epoch.',
  });
export type FloorExpectedFacts = Output<typeof floorExpectedFactsSchema>;

const filmExpectedFactsSchema = z
  .strictObject({
    kind: z.literal('film-expected'),
    dryMs: z.number().describe('when the film of water on the leaves is gone'),
    nextMs: z.number().describe('when the next pulse of mist is due'),
    filmMin: z.number().describe('how long a whole film lasts in the air and light of `atMs`, min'),
    everyMin: z.number().describe('from pulse to pulse, min'),
    atMs: z.number(),
  })
  .meta({
    id: 'FilmExpectedFacts',
    description:
      'The film on the leaves dries out before the next pulse, an estimate; times in ms since epoch.',
  });
export type FilmExpectedFacts = Output<typeof filmExpectedFactsSchema>;

const contactMethodFailingFactsSchema = z
  .strictObject({
    kind: z.literal('way-failing'),
    ways: z.array(z.strictObject({ way: z.string(), error: z.string(), sinceMs: z.number() })),
  })
  .meta({ id: 'WayFailingFacts' });
export type ContactMethodFailingFacts = Output<typeof contactMethodFailingFactsSchema>;

const testUnconfirmedFactsSchema = z
  .strictObject({
    kind: z.literal('test-unconfirmed'),
    tests: z
      .array(z.strictObject({ who: z.string(), putMs: z.number(), error: z.string().nullable() }))
      .describe('`who`: the person, and the contact method; `error`: why it was not even delivered, or null'),
  })
  .meta({ id: 'TestUnconfirmedFacts' });
export type TestUnconfirmedFacts = Output<typeof testUnconfirmedFactsSchema>;

const installationFactsSchema = z
  .strictObject({
    kind: z.literal('installation'),
    items: z.array(z.strictObject({ what: z.string(), sinceMs: z.number(), detail: z.string().nullable() })),
  })
  .meta({
    id: 'InstallationFacts',
    description:
      'What is wrong with the installation itself: record, clock, messages, restore; words are ready to read.',
  });
export type InstallationFacts = Output<typeof installationFactsSchema>;

const alarmFactsSchema = z
  .discriminatedUnion('kind', [
    pastLimitFactsSchema,
    noDataFactsSchema,
    wasBlindFactsSchema,
    probeSuspectFactsSchema,
    ceilingExpectedFactsSchema,
    floorExpectedFactsSchema,
    filmExpectedFactsSchema,
    contactMethodFailingFactsSchema,
    testUnconfirmedFactsSchema,
    installationFactsSchema,
  ])
  .meta({
    id: 'AlarmFacts',
    description: 'What an alarm says about its cause, enough to make its words in either unit.',
  });
export type AlarmFacts = Output<typeof alarmFactsSchema>;

const ceilingFactsSchema = z
  .strictObject({
    kind: z.literal('air-over-ceiling'),
    valueC: z.number(),
    ceilingC: z.number(),
    peakC: z.number(),
    sinceMs: z.number(),
    atMs: z.number(),
    slopeKPerMin: z.number().nullable(),
    moved: z.enum(['limit', 'correction']).exactOptional(),
  })
  .meta({ id: 'CeilingFacts' });
export type CeilingFacts = Output<typeof ceilingFactsSchema>;

export const wireFactsSchema = z
  .discriminatedUnion('kind', [...alarmFactsSchema.options, ceilingFactsSchema])
  .meta({ id: 'WireFacts', description: 'Facts of an alarm as they are on the wire.' });
export type WireFacts = Output<typeof wireFactsSchema>;
