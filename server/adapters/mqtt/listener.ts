import { connectAsync } from 'mqtt';
import { READINGS_FILTER, readingsTopic } from '../../../firmware-contracts/v1/topics.ts';
import type { RawMessage } from '../../ports.ts';
import type { DeviceBroker } from './publisher.ts';
import { trustIn } from './trust.ts';

const CONNECT_LIMIT_MS = 10_000;

/**
 * Listens to readings at a broker, of one device or of all, beside anybody else who does.
 * @returns a function that ends it
 * @throws when the broker cannot be reached or refuses
 */
export function listenToReadings(
  broker: DeviceBroker,
  { device, ...listening }: Listening & { readonly device: string | null },
): Promise<() => Promise<void>> {
  return listenTo(broker, {
    filter: device === null ? READINGS_FILTER : readingsTopic(device),
    ...listening,
  });
}

type Listening = { readonly nowMs: () => number; readonly received: (message: RawMessage) => void };

/** Listens to a topic filter at a broker. @throws when the broker cannot be reached or refuses */
export async function listenTo(
  { url, pinned, ...credentials }: DeviceBroker,
  { filter, nowMs, received }: Listening & { readonly filter: string },
): Promise<() => Promise<void>> {
  const once = { protocolVersion: 4, reconnectPeriod: 0, connectTimeout: CONNECT_LIMIT_MS } as const;
  const client = await connectAsync(url, { ...credentials, ...trustIn(pinned), ...once }, false);
  client.on('message', (topic, payload, { retain }) =>
    received({ topic, payload, arrivedAtMs: nowMs(), retainedCopy: retain }),
  );
  // what ends the connection is noticed when nothing is received
  client.on('error', () => undefined);
  try {
    await client.subscribeAsync(filter, { qos: 1 });
  } catch (cause) {
    await client.endAsync(true);
    throw cause;
  }
  return () => client.endAsync(true);
}
