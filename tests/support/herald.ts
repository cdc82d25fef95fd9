import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { type BrokerAddress, connectPublisher } from './mqttPublisher.ts';
import type { RecordFile } from './record.ts';
import { until } from './wait.ts';

/**
 * Waits until a pack published at a broker reaches the daemon's record: then its subscription stands, and all
 * that was published before is accepted. Being connected is not enough: the broker drops what comes before the
 * subscription is granted.
 *
 * @param way the broker, the record, and the device that sends; a device unknown to the record
 * @throws Error when nothing arrives within 20 s
 */
export async function untilReceived(method: {
  readonly broker: BrokerAddress;
  readonly record: RecordFile;
  readonly device: string;
}): Promise<void> {
  const publisher = await connectPublisher(method.broker);
  const payload = '[{"n":"air/temperature","u":"Cel","v":20}]';
  const received = async () => {
    await publisher.publish({ topic: readingsTopic(method.device), payload });
    return method.record.count(method.device) > 0 ? true : null;
  };
  await until(received, { what: `pack of ${method.device} in the record`, withinMs: 20_000, everyMs: 100 });
  await publisher.close();
}
