import { z } from 'zod';
import type { Output } from '../model/output.ts';

const waitingDeviceViewSchema = z
  .strictObject({
    device: z.string(),
    state: z.enum(['waiting', 'ignored']),
    since: z.string(),
    lastAt: z.string(),
    received: z.number(),
    kept: z.number().describe('kept until it is accepted, and their size'),
    bytes: z.number(),
    dropped: z
      .number()
      .describe('acknowledged, and not kept: beyond the bounds, or of a device that is ignored'),
    decidedAt: z.string().nullable().describe('who ignored it, and when; null while it waits'),
    decidedBy: z.string().nullable(),
    archived: z.boolean().describe('in the archive: accepting restores it with its record'),
  })
  .meta({
    id: 'WaitingDeviceView',
    description:
      'A device that nobody accepted yet, or that somebody ignored. Times in RFC 3339; counts are packs.',
  });
export type WaitingDeviceView = Output<typeof waitingDeviceViewSchema>;

export const waitingAnswerSchema = z
  .strictObject({
    waiting: z.array(waitingDeviceViewSchema),
    ignored: z.array(waitingDeviceViewSchema),
    limits: z.strictObject({
      devices: z.number(),
      packsPerDevice: z.number(),
      bytesPerDevice: z.number(),
      bytesInAll: z.number(),
    }),
    dropped: z
      .number()
      .describe('packs dropped of devices that left the list, and packs of devices that found it full'),
    turnedAway: z.number(),
  })
  .meta({ id: 'WaitingAnswer' });
export type WaitingAnswer = Output<typeof waitingAnswerSchema>;

export const acceptedDeviceSchema = z
  .strictObject({
    device: z.string(),
    stored: z.number().describe('readings that are in the record now'),
    refused: z.number().describe('messages rejected on the way, and packs that had been dropped before'),
    dropped: z.number(),
  })
  .meta({ id: 'AcceptedDevice', description: 'What became of the packs of a device that was accepted.' });
export type AcceptedDevice = Output<typeof acceptedDeviceSchema>;

export const archiveContentsSchema = z
  .strictObject({
    places: z.array(z.strictObject({ id: z.string(), name: z.string() })),
    devices: z.array(z.string()),
    probes: z.number(),
    readingsFrom: z
      .string()
      .nullable()
      .describe('time of the first and the last reading, or null without any'),
    readingsTo: z.string().nullable(),
    activeAlarms: z.number().describe('alarms that are active now, and alarms with a history'),
    alarms: z.number(),
    entries: z.number().describe('entries by hand: vents, checks, and batches that stood nowhere else'),
  })
  .meta({
    id: 'ArchiveContents',
    description: 'What an order to archive or delete takes along. Times in RFC 3339.',
  });
export type ArchiveContents = Output<typeof archiveContentsSchema>;

const archiveKindSchema = z.enum(['place', 'probe', 'device']).meta({ id: 'ArchiveKind' });
export type ArchiveKind = Output<typeof archiveKindSchema>;

export const archiveItemViewSchema = archiveContentsSchema
  .extend({
    id: z.number(),
    kind: archiveKindSchema,
    name: z.string(),
    state: z.enum(['archived', 'deleted', 'removing']),
    since: z.string(),
    by: z.string().nullable(),
    until: z.string().nullable(),
    leftOut: z.number().describe('readings that came for it and were left out, since the daemon started'),
  })
  .meta({
    id: 'ArchiveItemView',
    description:
      'Something that was archived or deleted. Deleted: removed for good at `until`; removing: that is under way.',
  });
export type ArchiveItemView = Output<typeof archiveItemViewSchema>;

export const archiveAnswerSchema = z
  .strictObject({ items: z.array(archiveItemViewSchema), next: z.string().nullable().exactOptional() })
  .meta({ id: 'ArchiveAnswer' });
export type ArchiveAnswer = Output<typeof archiveAnswerSchema>;

export const lifecycleFactsSchema = z
  .strictObject({
    waiting: z
      .strictObject({ devices: z.number(), ignored: z.number() })
      .describe('new devices that wait until somebody accepts them, and devices that were ignored')
      .exactOptional(),
    archive: z.strictObject({ items: z.number() }).exactOptional(),
  })
  .meta({
    id: 'LifecycleFacts',
    description:
      'What the house says of those that wait and of the archive; absent from a daemon of before there were any.',
  });
