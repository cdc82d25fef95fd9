import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { DEVICE_STATES } from '../../model/probes/device.ts';

/** Why somebody was turned away: at the embedded broker, and from `page-connections` on at the page. */
const TURNED_AWAY = [
  'anonymous',
  'bad-login',
  'device-disabled',
  'client-id',
  'other-topic',
  'no-topic',
  'too-many-connections',
  'no-login-in-time',
  'packet-too-large',
  'bad-packet',
  'reads-too-slowly',
  'subscription',
  'topic-too-long',
  'page-connections',
  'page-request-late',
  'page-websockets',
  'page-reads-too-slowly',
] as const;
export type TurnedAwayWhy = (typeof TURNED_AWAY)[number];

const turnedAwaySchema = z
  .strictObject({
    at: z.string(),
    why: z.enum(TURNED_AWAY),
    clientId: z.string(),
    name: z.string().nullable().describe('the name it logged in with, if any'),
    topic: z.string().nullable(),
    address: z.string(),
  })
  .meta({ id: 'TurnedAway', description: 'One that was turned away; times in RFC 3339.' });
export type TurnedAway = Output<typeof turnedAwaySchema>;

const secondClientSchema = z
  .strictObject({
    kind: z.enum(['alternating', 'taking-over', 'restless']),
    times: z.number(),
    withinMin: z.number(),
    addresses: z.array(z.string()),
  })
  .meta({
    id: 'SecondClient',
    description:
      'What speaks for a second client behind one device: `alternating`, two that publish by turns; `taking-over`, one throws the other out again and again; `restless`, it goes offline very often, as on a poor network too.',
  });
export type SecondClient = Output<typeof secondClientSchema>;

const deviceRowSchema = z
  .strictObject({
    device: z.string(),
    login: z
      .strictObject({
        state: z.enum(DEVICE_STATES),
        createdAt: z.string(),
        secretAt: z.string(),
        stateAt: z.string(),
      })
      .nullable()
      .describe('its login of its own, or null: then it comes by the shared login, or without any'),
    probes: z.number(),
    places: z.array(z.string()),
    archived: z
      .boolean()
      .describe('present when all its probes are in the archive: what it sends is not stored')
      .exactOptional(),
    seenAt: z
      .string()
      .nullable()
      .describe(
        'the last sign of life: a pack, a status, a connection that is open, else its newest reading',
      ),
    connections: z
      .array(z.strictObject({ clientId: z.string(), address: z.string(), since: z.string() }))
      .describe('open ones at the embedded broker; an outside one tells of none'),
    second: secondClientSchema.nullable(),
    status: z
      .strictObject({
        state: z.enum(['online', 'offline']),
        at: z.string(),
        signalDbm: z.number().nullable(),
        dropped: z.number().nullable(),
        firmware: z.string().nullable(),
      })
      .nullable(),
    batteryPct: z.number().nullable(),
    clockAheadS: z
      .number()
      .nullable()
      .describe(
        'how far the clock is ahead of ours, s, below 0 behind; null when it sends no time of its own',
      ),
    cadenceS: z.number().nullable().describe('usual time between its packs, s'),
    packs: z.number(),
    readings: z.number(),
    repeats: z.number(),
    conflicts: z.number(),
    refused: z.number(),
    lost: z
      .strictObject({
        missing: z.number(),
        expected: z.number(),
        everyS: z.number(),
        longestGapS: z.number(),
      })
      .nullable()
      .describe(
        'readings that are missing from the last 24 h, against the usual time between two of its busiest probe',
      ),
  })
  .meta({
    id: 'DeviceRow',
    description:
      'What is known of a device; null where nothing is. Counts are since the daemon started. Times in RFC 3339.',
  });
export type DeviceRow = Output<typeof deviceRowSchema>;

export const devicesAnswerSchema = z
  .strictObject({
    devices: z.array(deviceRowSchema),
    broker: z.strictObject({
      embedded: z.boolean(),
      address: z.string(),
      secureAddress: z.string().nullable().describe('with encryption, where there is one'),
      user: z.string().nullable().describe("the daemon's own user at an outside broker"),
    }),
    turnedAway: z.strictObject({
      total: z.number(),
      byWhy: z.record(z.string(), z.number()),
      newest: z.array(turnedAwaySchema).describe('newest first'),
    }),
  })
  .meta({ id: 'DevicesAnswer' });
export type DevicesAnswer = Output<typeof devicesAnswerSchema>;

export const newDeviceSchema = z
  .strictObject({ device: z.string(), secret: z.string() })
  .meta({ id: 'NewDevice', description: 'The only answer that ever holds the secret.' });
export type NewDevice = Output<typeof newDeviceSchema>;
