import { statusSchema } from '../../../firmware-contracts/v1/status.ts';

/** One pack of a device; without readings it was refused. Times in ms since epoch. */
export type Delivery = {
  readonly device: string;
  readonly arrivedAtMs: number;
  /** time of its newest reading */
  readonly newestMs: number | null;
  readonly readings: number;
  readonly stored: number;
  readonly conflicts: number;
};

/** A pack of a device that was refused. */
export function refusedDelivery(device: string, arrivedAtMs: number): Delivery {
  return { device, arrivedAtMs, newestMs: null, readings: 0, stored: 0, conflicts: 0 };
}

/** Looks at a device's clock that are remembered. */
const MAX_CLOCK_SAMPLES = 5;

/** What a device sent since the daemon started. */
export type Tally = {
  readonly packs: number;
  readonly readings: number;
  readonly repeats: number;
  readonly conflicts: number;
  readonly refused: number;
  readonly lastMs: number;
  /** how far its newest readings lay ahead of their arrival, ms, below 0 behind; those by arrival are left out */
  readonly aheadMs: readonly number[];
};

/** Counts one more pack. */
export function withPack(tally: Tally | null, delivery: Delivery): Tally {
  const { packs, readings, repeats, conflicts, refused, aheadMs } = tally ?? NOTHING;
  const { arrivedAtMs, newestMs } = delivery;
  const ahead = newestMs === null || newestMs === arrivedAtMs ? [] : [newestMs - arrivedAtMs];
  return {
    packs: packs + 1,
    readings: readings + delivery.readings,
    repeats: repeats + delivery.readings - delivery.stored - delivery.conflicts,
    conflicts: conflicts + delivery.conflicts,
    refused: refused + (delivery.readings === 0 ? 1 : 0),
    lastMs: arrivedAtMs,
    aheadMs: [...aheadMs, ...ahead].slice(-MAX_CLOCK_SAMPLES),
  };
}

const NOTHING = { packs: 0, readings: 0, repeats: 0, conflicts: 0, refused: 0, aheadMs: [] as number[] };

/**
 * How far a device's clock is ahead of ours: of the last packs the one that came with the least delay counts, as one
 * that empties its store is late by what it waited.
 * @returns ms, below 0 behind (its delay on the way included); null when it sends no time of its own
 */
export function clockAheadMs({ aheadMs }: Pick<Tally, 'aheadMs'>): number | null {
  return aheadMs.length === 0 ? null : Math.max(...aheadMs);
}

/** What a device says of itself; null where it says nothing that fits. */
export type StatusReport = {
  readonly state: 'online' | 'offline';
  readonly signalDbm: number | null;
  readonly dropped: number | null;
  readonly firmware: string | null;
};

/** Larger is no status, bytes; most characters kept of what it says it runs. */
const MAX_STATUS_BYTES = 4_096;
const MAX_FIRMWARE = 64;

/**
 * Reads a status. One member that does not fit is left out; without a state that fits there is none.
 * @param payload as it came
 * @returns what it says, or null
 */
export function readStatus(payload: Uint8Array): StatusReport | null {
  if (payload.length > MAX_STATUS_BYTES) return null;
  const members = recordOf(new TextDecoder().decode(payload));
  if (members === null) return null;
  const { state, signalDbm, dropped, firmware } = statusSchema.shape;
  const said = state.safeParse(members['state']);
  if (!said.success) return null;
  return {
    state: said.data,
    signalDbm: signalDbm.safeParse(members['signalDbm']).data ?? null,
    dropped: dropped.safeParse(members['dropped']).data ?? null,
    firmware: firmware.safeParse(members['firmware']).data?.slice(0, MAX_FIRMWARE) ?? null,
  };
}

function recordOf(text: string): Readonly<Record<string, unknown>> | null {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : null;
  } catch {
    return null;
  }
}
