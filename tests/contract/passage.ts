import type { Daemon } from '../support/daemon.ts';
import type { BrokerAddress, Publisher } from '../support/mqttPublisher.ts';
import type { RecordFile } from '../support/record.ts';
import { until } from '../support/wait.ts';

/** One way by which readings reach the daemon. */
export type Gateway = {
  readonly daemon: Daemon;
  /** where a device publishes and anybody may listen */
  readonly broker: BrokerAddress;
  /** what a device may publish there */
  readonly protocolVersion: 4 | 5;
  /** called at each PUBACK that the daemon sends, before the receiver has it */
  onPuback: (() => void) | null;
  close(): Promise<void>;
};

/** The open door as each test finds it. */
export type Passage = {
  gateway(): Gateway;
  device(): Publisher;
  record(): RecordFile;
};

/** Whole seconds some hours ago: no reading of a test is late enough or early enough to be special. */
const START_S = Math.floor(Date.now() / 1000) - 6 * 3600;
export const ARRIVAL_MS = 10_000;

/**
 * A pack with one air temperature.
 *
 * @param reading °C, and whole seconds after the start of these tests
 * @returns the payload
 */
export function airPack({ atS, valueC }: { readonly atS: number; readonly valueC: number }): string {
  return JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: valueC, t: START_S + atS }]);
}

/**
 * Waits until so many readings of a device are committed.
 *
 * @param record the database file
 * @param wanted the device, and how many
 */
export async function untilStored(record: RecordFile, wanted: { device: string; count: number }) {
  const what = `${wanted.count} readings of ${wanted.device}`;
  const enough = () => (record.count(wanted.device) >= wanted.count ? true : null);
  await until(enough, { what, withinMs: ARRIVAL_MS });
}
