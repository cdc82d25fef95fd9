import type { DeviceState } from '../model/device.ts';

/** Why somebody was turned away: at the embedded broker, and from `page-connections` on at the page. */
export const TURNED_AWAY = [
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

/** One that was turned away; times in RFC 3339. */
export type TurnedAway = {
  readonly at: string;
  readonly why: TurnedAwayWhy;
  readonly clientId: string;
  /** the name it logged in with, if any */
  readonly name: string | null;
  readonly topic: string | null;
  readonly address: string;
};

/**
 * What speaks for a second client behind one device: `alternating`, two that publish by turns; `taking-over`, one throws
 * the other out again and again; `restless`, it goes offline very often, as on a poor network too.
 */
export type SecondClient = {
  readonly kind: 'alternating' | 'taking-over' | 'restless';
  readonly times: number;
  readonly withinMin: number;
  readonly addresses: readonly string[];
};

/** What is known of a device; null where nothing is. Counts are since the daemon started. Times in RFC 3339. */
export type DeviceRow = {
  readonly device: string;
  /** its login of its own, or null: then it comes by the shared login, or without any */
  readonly login: {
    readonly state: DeviceState;
    readonly createdAt: string;
    readonly secretAt: string;
    readonly stateAt: string;
  } | null;
  readonly probes: number;
  readonly places: readonly string[];
  /** present when all its probes are in the archive: what it sends is not stored */
  readonly archived?: boolean;
  /** the last sign of life: a pack, a status, a connection that is open, else its newest reading */
  readonly seenAt: string | null;
  /** open ones at the embedded broker; an outside one tells of none */
  readonly connections: readonly {
    readonly clientId: string;
    readonly address: string;
    readonly since: string;
  }[];
  readonly second: SecondClient | null;
  readonly status: {
    readonly state: 'online' | 'offline';
    readonly at: string;
    readonly signalDbm: number | null;
    readonly dropped: number | null;
    readonly firmware: string | null;
  } | null;
  readonly batteryPct: number | null;
  /** how far the clock is ahead of ours, s, below 0 behind; null when it sends no time of its own */
  readonly clockAheadS: number | null;
  /** usual time between its packs, s */
  readonly cadenceS: number | null;
  readonly packs: number;
  readonly readings: number;
  readonly repeats: number;
  readonly conflicts: number;
  readonly refused: number;
  /** readings that are missing from the last 24 h, against the usual time between two of its busiest probe */
  readonly lost: {
    readonly missing: number;
    readonly expected: number;
    readonly everyS: number;
    readonly longestGapS: number;
  } | null;
};

export type DevicesAnswer = {
  readonly devices: readonly DeviceRow[];
  readonly broker: {
    readonly embedded: boolean;
    readonly address: string;
    /** with encryption, where there is one */
    readonly secureAddress: string | null;
    /** the daemon's own user at an outside broker */
    readonly user: string | null;
  };
  readonly turnedAway: {
    readonly total: number;
    readonly byWhy: Readonly<Record<string, number>>;
    /** newest first */
    readonly newest: readonly TurnedAway[];
  };
};

/** The only answer that ever holds the secret. */
export type NewDevice = { readonly device: string; readonly secret: string };
