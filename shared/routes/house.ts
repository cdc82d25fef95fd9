import { z } from 'zod';
import { probeSchema } from '../model/probes/probe.ts';
import { clockAnswerSchema } from '../wire/clock.ts';
import { backupsAnswerSchema, houseFactsSchema, refusedPackSchema } from '../wire/house.ts';
import { findingsAnswerSchema } from '../wire/probes/finding.ts';
import { problemTypeSchema } from '../wire/problem.ts';
import { next, optionalSpan, paging } from './parameters.ts';
import type { Routes } from './route.ts';

const readingSchema = z.strictObject({
  probeId: z.number(),
  tMs: z.number().describe('ms since epoch'),
  value: z.number(),
});

const probesPageSchema = z
  .strictObject({ probes: z.array(probeSchema.extend({ latest: readingSchema.nullable() })), ...next })
  .meta({ id: 'ProbesPage' });

const refusedPageSchema = z
  .strictObject({
    refused: z.array(refusedPackSchema),
    total: z.number(),
    byCode: z.record(z.string(), z.number()),
    ...next,
  })
  .meta({ id: 'RefusedPage' });

const notReadySchema = z.strictObject({
  status: z.literal('not-ready'),
  reasons: z.array(z.enum(['starting', 'broker-away', 'record-not-writable'])),
});

/** What machines ask of the daemon: always open. */
export const LIVENESS_ROUTES = {
  'get /healthz': {
    id: 'getHealth',
    role: 'anyone',
    summary: 'Started, and its turns come round',
    answer: z.strictObject({ status: z.enum(['ready', 'running']) }),
    others: { 503: z.strictObject({ status: z.literal('not-running') }) },
  },
  'get /readyz': {
    id: 'getReadiness',
    role: 'anyone',
    summary: 'Readings can be taken',
    answer: z.strictObject({ status: z.literal('ready') }),
    others: { 503: notReadySchema },
  },
} as const satisfies Routes;

export const METRICS_ROUTES = {
  'get /metrics': {
    id: 'getMetrics',
    role: 'anyone',
    summary: 'Measurements, as OpenMetrics 1.0.0; with a sign-in or the token once an owner password is set',
    media: ['application/openmetrics-text'],
  },
} as const satisfies Routes;

/** The installation itself: facts, probes, rejected messages, backups, the demo. */
export const HOUSE_ROUTES = {
  'get /api/v1/openapi.json': {
    id: 'getOpenapi',
    role: 'look',
    summary: 'This description',
    answer: z.record(z.string(), z.unknown()),
  },
  'get /api/v1/problems/{code}': {
    id: 'getProblemType',
    role: 'look',
    summary: 'What a type of problem means, and what helps',
    answer: problemTypeSchema,
  },
  'get /api/v1/house': {
    id: 'getHouse',
    role: 'look',
    summary: 'Version, time zone, broker, counts',
    answer: houseFactsSchema,
  },
  'get /api/v1/clock': {
    id: 'getClock',
    role: 'look',
    summary: 'When the clock was set, and readings that were set aside for it',
    answer: clockAnswerSchema,
  },
  'get /api/v1/probes': {
    id: 'listProbes',
    role: 'look',
    summary: 'All probes with their newest reading',
    query: z.object(paging),
    answer: probesPageSchema,
  },
  'get /api/v1/probes/findings': {
    id: 'listFindings',
    role: 'look',
    summary:
      'What is found wrong with probes: at present, or over a span of at most 8 days; drift and clocks at present only',
    query: z.object({ place: z.string().optional(), ...optionalSpan }),
    answer: findingsAnswerSchema,
  },
  'get /api/v1/refused': {
    id: 'listRefused',
    role: 'look',
    summary: 'Rejected messages, newest first, and how many by code',
    query: z.object(paging),
    answer: refusedPageSchema,
  },
  'get /api/v1/backups': {
    id: 'listBackups',
    role: 'look',
    summary: 'Backups, newest first, and the one under way',
    query: z.object(paging),
    answer: backupsAnswerSchema.extend(next).meta({ id: 'BackupsPage' }),
  },
  'post /api/v1/backups': {
    id: 'startBackup',
    role: 'own',
    summary: 'Make a backup; nothing more when one is under way',
    answer: backupsAnswerSchema,
    status: 202,
  },
  'post /api/v1/demo': {
    id: 'startDemo',
    role: 'own',
    summary: 'Start the demo places',
    answer: houseFactsSchema,
    status: 202,
  },
  'delete /api/v1/demo': {
    id: 'removeDemo',
    role: 'own',
    summary: 'Stop the demo and remove its places',
    answer: houseFactsSchema,
  },
} as const satisfies Routes;
