import { connectAsync } from 'mqtt';
import type { DevicePublisher } from '../../ports.ts';

export type DeviceBroker = {
  readonly url: string;
  readonly username?: string;
  readonly password?: string;
  readonly ca?: Buffer;
};

/** Connects to a broker as a device does. @throws when the broker cannot be reached or refuses */
export async function connectDevice({ url, ...credentials }: DeviceBroker): Promise<DevicePublisher> {
  const client = await connectAsync(url, { ...credentials, protocolVersion: 4, reconnectPeriod: 2_000 });
  client.on('error', () => client.reconnect());
  return {
    publish: async (topic, payload) => {
      await client.publishAsync(topic, payload, { qos: 1 });
    },
    close: () => client.endAsync(true),
  };
}
