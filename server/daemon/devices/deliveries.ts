import { parseDeviceTopic } from '../../../firmware-contracts/v1/topics.ts';
import {
  type Delivery,
  readStatus,
  type StatusReport,
  type Tally,
  withPack,
} from '../../domain/devices/delivery.ts';
import type { RawMessage } from '../../ports.ts';

/** Most devices whose packs are counted and whose status is remembered; the one received from longest ago gives way. */
export const MAX_COUNTED = 5_000;

/** A status as it came; a retained copy says nothing about when it was sent. */
type Status = StatusReport & { readonly atMs: number; readonly retainedCopy: boolean };

/** What devices sent since the daemon started. */
export type Deliveries = {
  took(came: { readonly deliveries: readonly Delivery[]; readonly statuses: readonly RawMessage[] }): void;
  tally(device: string): Tally | null;
  status(device: string): Status | null;
  names(): string[];
};

/**
 * Counts packs and remembers the last status of each device, bounded.
 * @param went called when a device's Will says that it went offline
 */
export function createDeliveries(went: (device: string) => void): Deliveries {
  const tallies = new Map<string, Tally>();
  const statuses = new Map<string, Status>();
  return {
    took({ deliveries, statuses: reported }) {
      for (const delivery of deliveries) {
        const { device } = delivery;
        keep(tallies, device, withPack(tallies.get(device) ?? null, delivery));
      }
      for (const { topic, payload, arrivedAtMs, retainedCopy } of reported) {
        const device = parseDeviceTopic(topic)?.device;
        const status = readStatus(payload);
        if (device === undefined || status === null) continue;
        keep(statuses, device, { ...status, atMs: arrivedAtMs, retainedCopy });
        if (status.state === 'offline' && !retainedCopy) went(device);
      }
    },
    tally: (device) => tallies.get(device) ?? null,
    status: (device) => statuses.get(device) ?? null,
    names: () => [...new Set([...tallies.keys(), ...statuses.keys()])],
  };
}

function keep<T>(known: Map<string, T>, device: string, value: T): void {
  known.delete(device);
  known.set(device, value);
  if (known.size <= MAX_COUNTED) return;
  const [oldest] = known.keys();
  if (oldest !== undefined) known.delete(oldest);
}
