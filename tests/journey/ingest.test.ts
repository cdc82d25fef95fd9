import { connectAsync } from 'mqtt';
import { expect, test } from 'vitest';
import { alarmTopic, HEARTBEAT_TOPIC, placeNowTopic } from '../../firmware-contracts/v1/topics.ts';
import { ingestContract } from '../contract/ingest.suite.ts';
import type { Gateway } from '../contract/passage.ts';
import { startDaemon } from '../support/daemon.ts';
import { untilReceived } from '../support/herald.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { connectSubscriber } from '../support/mqttPublisher.ts';
import { watchPubacks } from '../support/pubacks.ts';
import { openRecord } from '../support/record.ts';

async function embeddedGateway(): Promise<Gateway> {
  const daemon = await startDaemon();
  const { gateway, watch } = await watchedGateway({ brokerPort: daemon.mqttPort, sentBy: 'broker' });
  const close = async () => {
    await daemon.close();
    await watch.close();
  };
  return Object.assign(gateway, {
    daemon,
    protocolVersion: 4 as const,
    close,
    broker: { url: `mqtt://127.0.0.1:${watch.port}` },
  });
}

async function outsideGateway(version: '3.1.1' | '5'): Promise<Gateway> {
  const mosquitto = await startMosquitto();
  const { gateway, watch } = await watchedGateway({ brokerPort: mosquitto.port, sentBy: 'client' });
  const settings = {
    STRIKEWELL_MQTT_URL: `mqtt://127.0.0.1:${watch.port}`,
    STRIKEWELL_MQTT_VERSION: version,
  };
  const daemon = await startDaemon({ settings });
  const record = openRecord(daemon.dataDir);
  await untilReceived({ broker: mosquitto, record, device: 'herald' });
  record.close();
  const close = async () => {
    await daemon.close();
    await watch.close();
    await mosquitto.close();
  };
  const protocolVersion = version === '5' ? (5 as const) : (4 as const);
  return Object.assign(gateway, { daemon, protocolVersion, close, broker: { url: mosquitto.url } });
}

async function watchedGateway(of: { brokerPort: number; sentBy: 'client' | 'broker' }) {
  const gateway: Pick<Gateway, 'onPuback'> = { onPuback: null };
  const watch = await watchPubacks({ ...of, onPuback: () => gateway.onPuback?.() });
  return { gateway, watch };
}

ingestContract('embedded broker', embeddedGateway);
ingestContract('outside broker, MQTT 3.1.1', () => outsideGateway('3.1.1'));
ingestContract('outside broker, MQTT 5', () => outsideGateway('5'));

test.each([HEARTBEAT_TOPIC, placeNowTopic('bench-1'), alarmTopic('bench-1.no-data'), '$SYS/uptime'])(
  'a device that publishes on %s of the embedded broker is cut off, and nobody is sent what it published',
  async (topic) => {
    const daemon = await startDaemon();
    const listener = await connectSubscriber({ url: daemon.mqttUrl }, topic);
    const device = await connectAsync(daemon.mqttUrl, { reconnectPeriod: 0 });
    const closed = new Promise<void>((resolve) => device.once('close', () => resolve()));
    device.publish(topic, 'said by a device', { qos: 1, retain: true });
    await closed;
    const later = await connectSubscriber({ url: daemon.mqttUrl }, topic);
    const said = [...listener.received, ...later.received].map(({ payload }) => payload);
    expect(said).not.toContain('said by a device');
    await Promise.all([listener.close(), later.close()]);
    await daemon.close();
  },
);
