import { setTimeout as sleep } from 'node:timers/promises';
import { connectAsync, type MqttClient } from 'mqtt';
import { describe, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { untilStored } from '../contract/passage.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { PUBREC, watchPubacks } from '../support/pubacks.ts';
import { connectRaw, publishQos2, pubrel, type RawClient } from '../support/raw-mqtt.ts';
import { openRecord } from '../support/record.ts';
import { until } from '../support/wait.ts';

/** Without a time: each arrival would be another reading. */
const PAYLOAD = '[{"n":"air/temperature","u":"Cel","v":21}]';
/** So that arrivals differ by more than the ms a time is kept in. */
const APART_MS = 20;

function recordOf(daemon: Daemon) {
  const record = openRecord(daemon.dataDir);
  onTestFinished(() => record.close());
  return record;
}

describe('the embedded broker stores a pack of QoS 2 without a time once', () => {
  const topic = readingsTopic('bench-1');
  const publish = (id: number, dup: boolean) => publishQos2({ topic, payload: PAYLOAD, id, dup });
  const device = { clientId: 'bench-1', clean: false };

  async function begin() {
    const daemon = await startDaemon();
    onTestFinished(() => daemon.close());
    const connectAgain = () => connectRaw(daemon.mqttPort, device);
    const finish = async (client: RawClient, id: number, nth: number) => {
      client.send(pubrel(id));
      await client.answered('pubcomp', nth);
    };
    return { daemon, connectAgain, finish, count: () => recordOf(daemon).count('bench-1') };
  }

  test('that comes again before its PUBREL, with DUP and without, and whose PUBREL comes twice; the next of its identifier is another', async () => {
    const { connectAgain, finish, count } = await begin();
    const client = await connectAgain();
    client.send(publish(1, false));
    await client.answered('pubrec', 1);
    await sleep(APART_MS);
    // the last two in one piece
    client.send(publish(1, true));
    await client.answered('pubrec', 2);
    client.send(publish(1, false), publish(1, true));
    await client.answered('pubrec', 4);
    await finish(client, 1, 1);
    await finish(client, 1, 2);
    expect(count()).toBe(1);
    client.send(publish(1, false));
    await client.answered('pubrec', 5);
    await finish(client, 1, 3);
    expect(count()).toBe(2);
  });

  test('whose PUBREC is lost with the connection, and one whose PUBCOMP is', async () => {
    const { connectAgain, finish, count } = await begin();
    const first = await connectAgain();
    first.send(publish(7, false));
    await first.answered('pubrec', 1);
    first.breakOff();
    await sleep(APART_MS);
    const second = await connectAgain();
    second.send(publish(7, true));
    await second.answered('pubrec', 1);
    second.send(pubrel(7));
    second.breakOff();
    const third = await connectAgain();
    await finish(third, 7, 1);
    expect(count()).toBe(1);
    // what begins anew with the same identifier and bytes is no repeat
    third.send(publish(7, false));
    await third.answered('pubrec', 1);
    expect(count()).toBe(2);
  });

  test('though the daemon was killed between its PUBREC and its PUBREL', async () => {
    const { daemon, connectAgain, finish, count } = await begin();
    const first = await connectAgain();
    first.send(publish(9, false));
    await first.answered('pubrec', 1);
    await daemon.kill();
    await daemon.start();
    const second = await connectAgain();
    second.send(publish(9, true));
    await second.answered('pubrec', 1);
    await finish(second, 9, 1);
    expect(count()).toBe(1);
  });

  test('and one that is refused is counted once', async () => {
    const { daemon, connectAgain, finish } = await begin();
    const client = await connectAgain();
    const bad = (dup: boolean) =>
      publishQos2({ topic, payload: '[{"n":"air/temperature","v":21}]', id: 3, dup });
    client.send(bad(false));
    await client.answered('pubrec', 1);
    client.send(bad(true));
    await client.answered('pubrec', 2);
    await finish(client, 3, 1);
    const refused = z.object({ byCode: z.record(z.string(), z.number()) });
    expect((await daemon.read('/api/v1/refused', refused)).byCode).toEqual({ 'unit-missing': 1 });
  });
});

describe.each(['3.1.1', '5'])(
  'at Mosquitto, joined with MQTT %s, a pack of QoS 2 without a time is stored once',
  (version) => {
    async function begin() {
      const mosquitto = await startMosquitto({ persistence: true });
      onTestFinished(() => mosquitto.close());
      const cuts = { left: 0, atCut: () => {} };
      const between = await watchPubacks({
        ...{ brokerPort: mosquitto.port, sentBy: 'client', packet: PUBREC },
        onPuback() {
          if (cuts.left === 0) return;
          cuts.left -= 1;
          between.cut();
          cuts.atCut();
        },
      });
      onTestFinished(() => between.close());
      const settings = {
        STRIKEWELL_MQTT_URL: `mqtt://127.0.0.1:${between.port}`,
        STRIKEWELL_MQTT_VERSION: version,
      };
      const daemon = await startDaemon({ settings });
      onTestFinished(() => daemon.close());
      await untilJoined(daemon);
      return { mosquitto, daemon, cuts };
    }

    const house = z.object({ broker: z.object({ connected: z.boolean() }) });
    const untilJoined = (daemon: Daemon) =>
      until(async () => (await daemon.read('/api/v1/house', house)).broker.connected || null, {
        what: 'joined broker',
        withinMs: 20_000,
      });

    async function publisher(url: string): Promise<MqttClient> {
      const client = await connectAsync(url, { clientId: 'bench-1', clean: false, reconnectPeriod: 100 });
      onTestFinished(() => client.endAsync(true));
      return client;
    }

    const publishTo = (client: MqttClient, device: string) =>
      client.publishAsync(readingsTopic(device), PAYLOAD, { qos: 2 });

    /** A pack of another device: what came before it has been stored, once or twice, when it has. */
    async function settled(daemon: Daemon, client: MqttClient) {
      await publishTo(client, 'last');
      await untilStored(recordOf(daemon), { device: 'last', count: 1 });
    }

    test('though its publisher lost the connection before and after the PUBREC and sent it, and its PUBREL, again', async () => {
      const { mosquitto, daemon } = await begin();
      const client = await publisher(mosquitto.url);
      client.once('packetsend', ({ cmd }) => cmd === 'publish' && client.stream.destroy());
      await publishTo(client, 'before');
      let cut = false;
      client.on('packetreceive', ({ cmd }) => {
        if (cmd !== 'pubrec' || cut) return;
        cut = true;
        client.stream.destroy();
      });
      await publishTo(client, 'after');
      await settled(daemon, client);
      expect([recordOf(daemon).count('before'), recordOf(daemon).count('after'), cut]).toEqual([1, 1, true]);
    });

    test('though the daemon lost its connection twice after it had stored the pack, and before Mosquitto knew', async () => {
      const { mosquitto, daemon, cuts } = await begin();
      const client = await publisher(mosquitto.url);
      cuts.left = 2;
      await publishTo(client, 'bench-1');
      await until(() => (cuts.left === 0 ? true : null), { what: '2nd cut', withinMs: 30_000 });
      await untilJoined(daemon);
      await settled(daemon, client);
      expect(recordOf(daemon).count('bench-1')).toBe(1);
    });

    test('though the daemon was killed after it had stored the pack, and before Mosquitto knew', async () => {
      const { mosquitto, daemon, cuts } = await begin();
      const client = await publisher(mosquitto.url);
      const killed = Promise.withResolvers<unknown>();
      cuts.left = 1;
      cuts.atCut = () => killed.resolve(daemon.kill());
      await publishTo(client, 'bench-1');
      await killed.promise;
      await daemon.start();
      await untilJoined(daemon);
      await settled(daemon, client);
      expect(recordOf(daemon).count('bench-1')).toBe(1);
    });
  },
);
