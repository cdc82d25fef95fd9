import { connectAsync } from 'mqtt';
import type { DevicePublisher } from '../../ports.ts';
import { trustIn } from './trust.ts';

export type DeviceBroker = {
  readonly url: string;
  readonly username?: string;
  readonly password?: string;
  readonly ca?: Buffer;
  /** the one certificate that is accepted, whatever name it is for: that of a broker of this very process */
  readonly pinned?: Buffer;
};

/** Connects to a broker as a device does. @throws when the broker cannot be reached or refuses */
export async function connectDevice(broker: DeviceBroker): Promise<DevicePublisher> {
  const { url, pinned, ...credentials } = broker;
  const options = { ...credentials, ...trustIn(pinned), protocolVersion: 4, reconnectPeriod: 2_000 } as const;
  const client = await connectAsync(url, options);
  client.on('error', () => client.reconnect());
  return {
    publish: async (topic, payload) => {
      await client.publishAsync(topic, payload, { qos: 1 });
    },
    close: () => client.endAsync(true),
  };
}
