import { connectAsync } from 'mqtt';
import { READINGS_FILTER, readingsTopic } from '../../../firmware-contracts/v1/topics.ts';
import type { RawMessage } from '../../ports.ts';
import type { DeviceBroker } from './publisher.ts';

/**
 * Listens to readings at a broker, of one device or of all, beside whoever else does.
 * @returns a function that ends it
 * @throws when the broker cannot be reached or refuses
 */
export async function listenToReadings(
  { url, ...credentials }: DeviceBroker,
  listening: {
    readonly device: string | null;
    readonly nowMs: () => number;
    readonly heard: (message: RawMessage) => void;
  },
): Promise<() => Promise<void>> {
  const { device, nowMs, heard } = listening;
  const client = await connectAsync(url, { ...credentials, protocolVersion: 4, reconnectPeriod: 0 }, false);
  client.on('message', (topic, payload, { retain }) =>
    heard({ topic, payload, arrivedAtMs: nowMs(), retainedCopy: retain }),
  );
  await client.subscribeAsync(device === null ? READINGS_FILTER : readingsTopic(device), { qos: 1 });
  return () => client.endAsync(true);
}
