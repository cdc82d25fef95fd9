import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { STAGE_IDS } from '../../model/sheet.ts';
import { ALARM_RULES } from '../../rules/ids.ts';

const time = z.string().describe('RFC 3339, UTC');
const spanSchema = z.strictObject({ from: time, to: time.nullable().describe('null while it goes on') });

const extremeSchema = z.strictObject({ value: z.number(), at: time });
const extreme = extremeSchema.nullable();

const ventFactsSchema = z
  .strictObject({
    last: z
      .strictObject({
        from: time,
        to: time.nullable(),
        how: z.enum(['recognised', 'logged']),
        humidityBack: z.boolean().nullable().describe('whether humidity came back; null: not known'),
      })
      .nullable(),
    reliable: z.boolean(),
    reason: z.string().nullable(),
    hoursSinceVent: z.number().nullable(),
    hoursSaturatedSinceVent: z.number(),
  })
  .describe('over the two days before the end of the night');

const mistFactsSchema = z
  .strictObject({
    how: z.enum(['valve', 'humidity', 'wetness']).nullable(),
    pulses: z.number(),
    inLight: z.number().nullable().describe('an hour; null where there was no light on record'),
    inDark: z.number().nullable().describe('an hour; null where there was no dark on record'),
    missed: z.number().nullable(),
    coveredHours: z.number(),
    reliable: z.boolean(),
    reason: z.string().nullable(),
  })
  .describe('over the 24 h before the end of the night');

const yesterdayFactsSchema = z
  .strictObject({
    from: time,
    to: time,
    light: z
      .strictObject({
        dliMolM2: z.number(),
        coveredHours: z.number(),
        peak: extreme.describe('µmol m⁻² s⁻¹'),
        wanted: z.strictObject({ lowMol: z.number(), highMol: z.number() }).nullable(),
      })
      .nullable()
      .describe('null without a light probe'),
    daylightVpd: z.strictObject({ kpaHours: z.number(), coveredHours: z.number() }),
  })
  .describe('the local day before the morning');

const probeFactsSchema = z.strictObject({
  assigned: z.number(),
  reporting: z.number(),
  faults: z.array(
    z.strictObject({ headline: z.string().describe('temperatures in °C'), isActive: z.boolean() }),
  ),
  lookedAt: z.boolean().describe('false: its probes were not looked at since the start'),
  checksDue: z.array(z.string()).describe('device and name'),
  lowestBatteryPct: z.number().nullable().describe('null where no probe reports one'),
});

const lotFactsSchema = z
  .strictObject({
    batchId: z.string(),
    name: z.string(),
    stage: z.enum(STAGE_IDS),
    stageFrom: time,
    stuckAt: time,
    due: z
      .strictObject({
        stage: z.enum(STAGE_IDS),
        from: time,
        to: time,
        state: z.enum(['ahead', 'due', 'late']),
      })
      .nullable(),
    degreeHours: z.number().nullable().describe('K·h since it was stuck; null without limits of the crop'),
    coveredHours: z.number().nullable(),
    expected: z.strictObject({ at: time, earliest: time, latest: time.nullable() }).nullable(),
    expectedReason: z.string().nullable(),
    halfRootedAt: time.nullable(),
  })
  .meta({ id: 'LotFacts' });
export type LotFacts = Output<typeof lotFactsSchema>;

const CHANGE_KINDS = ['targets', 'vent', 'stage', 'move', 'count', 'correction'] as const;
const changeSchema = z.strictObject({ at: time, kind: z.enum(CHANGE_KINDS), what: z.string().nullable() });
export type ChangeFacts = Output<typeof changeSchema>;

const raisedSchema = z
  .strictObject({
    rule: z.enum(ALARM_RULES),
    at: time,
    notified: z.array(z.string()).describe('who was sent a message that arrived'),
    acknowledgedBy: z.string().nullable(),
    acknowledgedAt: time.nullable(),
  })
  .meta({ id: 'RaisedFacts', description: 'An alarm that was raised, who was notified and who answered.' });
export type RaisedFacts = Output<typeof raisedSchema>;

export const placeFactsSchema = z
  .strictObject({
    highestAir: extreme,
    lowestRootZone: extreme,
    highestVpd: extreme,
    mat: z.boolean().nullable().describe('whether there is one; null: nobody has said so'),
    matOnHours: z.number().nullable().describe('with power on the heating; null where that is not measured'),
    vents: ventFactsSchema,
    mist: mistFactsSchema,
    yesterday: yesterdayFactsSchema,
    probes: probeFactsSchema,
    lots: z.array(lotFactsSchema),
    changes: z.array(changeSchema).describe('from 24 h before the end of the night'),
    raised: z.array(raisedSchema),
  })
  .meta({ id: 'PlaceFacts', description: 'What the questions of a morning are answered from.' });
export type PlaceFacts = Output<typeof placeFactsSchema>;

const pairSchema = z
  .strictObject({
    first: z.strictObject({ batchId: z.string(), name: z.string() }),
    second: z.strictObject({ batchId: z.string(), name: z.string() }),
    crop: z.string(),
    strike: z
      .strictObject({
        difference: z.number(),
        low95: z.number(),
        high95: z.number(),
        better: z.enum(['first', 'second']).nullable().describe('null: the counts leave it open'),
      })
      .nullable()
      .describe('null where one was not counted'),
    means: z.array(
      z.strictObject({
        of: z.enum(['airTemperatureC', 'rootZoneTemperatureC']),
        differenceK: z.number(),
        sensorErrorK: z.number(),
      }),
    ),
  })
  .meta({ id: 'PairFacts', description: 'Two open batches of one crop beside each other.' });
export type PairFacts = Output<typeof pairSchema>;

export const installationFactsSchema = z
  .strictObject({
    unwatched: z.array(spanSchema).describe('this program did not run'),
    pairs: z.array(pairSchema).nullable().describe('as they are now; null of a night long past'),
  })
  .meta({ id: 'InstallationFacts' });
export type InstallationFacts = Output<typeof installationFactsSchema>;

export const answeredSchema = z
  .strictObject({
    number: z.number().int().min(1).max(15),
    question: z.string(),
    answers: z.array(
      z.strictObject({
        sentence: z.string().describe('temperatures in °C, times of the installation'),
        numbers: z
          .array(z.strictObject({ placeId: z.string(), of: z.string(), from: time, to: time }))
          .describe('of its numbers, in order: what GET /api/v1/places/{id}/explain is asked for'),
      }),
    ),
  })
  .meta({ id: 'MorningAnswer', description: 'One of the fifteen questions of a morning, answered.' });
export type MorningAnswer = Output<typeof answeredSchema>;
