import { setTimeout as sleep } from 'node:timers/promises';
import { connectAsync, type MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { untilStored } from '../contract/passage.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectRaw, type HandshakingClient, publishQos2, pubrel } from '../support/handshaking.ts';
import { type Mosquitto, startMosquitto } from '../support/mosquitto.ts';
import { PUBREC, type PubackWatch, watchPubacks } from '../support/pubacks.ts';
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
  let daemon: Daemon;
  beforeAll(async () => {
    daemon = await startDaemon();
  });
  afterAll(() => daemon.close());

  /** A device of its own at the daemon that all share. */
  function begin(device: string) {
    const topic = readingsTopic(device);
    return {
      publish: (id: number, dup: boolean, payload = PAYLOAD) => publishQos2({ topic, payload, id, dup }),
      connectAgain: () => connectRaw(daemon.mqttPort, { clientId: device, clean: false }),
      finish: async (client: HandshakingClient, id: number, nth: number) => {
        client.send(pubrel(id));
        await client.answered('pubcomp', nth);
      },
      count: () => recordOf(daemon).count(device),
    };
  }

  test('that comes again before its PUBREL, with DUP and without, and whose PUBREL comes twice; the next of its identifier is another', async () => {
    const { publish, connectAgain, finish, count } = begin('again');
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
    const { publish, connectAgain, finish, count } = begin('lost-pubrec');
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
    // what begins again with the same identifier and bytes is no repeat
    third.send(publish(7, false));
    await third.answered('pubrec', 1);
    expect(count()).toBe(2);
  });

  test('though the daemon was killed between its PUBREC and its PUBREL', async () => {
    const { publish, connectAgain, finish, count } = begin('killed');
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
    const { publish, connectAgain, finish } = begin('refused');
    const client = await connectAgain();
    const bad = (dup: boolean) => publish(3, dup, '[{"n":"air/temperature","v":21}]');
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
    let mosquitto: Mosquitto;
    let between: PubackWatch;
    let daemon: Daemon;
    const cuts = { left: 0, atCut: () => {} };
    beforeAll(async () => {
      mosquitto = await startMosquitto({ persistence: true });
      between = await watchPubacks({
        brokerPort: mosquitto.port,
        sentBy: 'client',
        packet: PUBREC,
        onPuback() {
          if (cuts.left === 0) return;
          cuts.left -= 1;
          between.cut();
          cuts.atCut();
        },
      });
      const settings = {
        STRIKEWELL_MQTT_URL: `mqtt://127.0.0.1:${between.port}`,
        STRIKEWELL_MQTT_VERSION: version,
      };
      daemon = await startDaemon({ settings });
      await untilJoined();
    });
    afterAll(async () => {
      await daemon.close();
      await between.close();
      await mosquitto.close();
    });

    const house = z.object({ broker: z.object({ connected: z.boolean() }) });
    const untilJoined = () =>
      until(async () => (await daemon.read('/api/v1/house', house)).broker.connected || null, {
        what: 'joined broker',
        withinMs: 20_000,
      });

    async function publisher(clientId: string): Promise<MqttClient> {
      const client = await connectAsync(mosquitto.url, { clientId, clean: false, reconnectPeriod: 100 });
      onTestFinished(() => client.endAsync(true));
      return client;
    }

    const publishTo = (client: MqttClient, device: string) =>
      client.publishAsync(readingsTopic(device), PAYLOAD, { qos: 2 });

    /** A pack of another device: what came before it has been stored, once or twice, when it has. */
    async function settled(client: MqttClient, after: string) {
      const device = `after-${after}`;
      await publishTo(client, device);
      await untilStored(recordOf(daemon), { device, count: 1 });
    }

    test('though its publisher lost the connection before and after the PUBREC and sent it, and its PUBREL, again', async () => {
      const client = await publisher('lossy');
      client.once('packetsend', ({ cmd }) => cmd === 'publish' && client.stream.destroy());
      await publishTo(client, 'before');
      let cut = false;
      client.on('packetreceive', ({ cmd }) => {
        if (cmd !== 'pubrec' || cut) return;
        cut = true;
        client.stream.destroy();
      });
      await publishTo(client, 'after');
      await settled(client, 'lossy');
      expect([recordOf(daemon).count('before'), recordOf(daemon).count('after'), cut]).toEqual([1, 1, true]);
    });

    test('though the daemon lost its connection twice after it had stored the pack, and before Mosquitto knew', async () => {
      const client = await publisher('cut');
      cuts.left = 2;
      await publishTo(client, 'cut');
      await until(() => (cuts.left === 0 ? true : null), { what: '2nd cut', withinMs: 30_000 });
      await untilJoined();
      await settled(client, 'cut');
      expect(recordOf(daemon).count('cut')).toBe(1);
    });

    test('though the daemon was killed after it had stored the pack, and before Mosquitto knew', async () => {
      const client = await publisher('killed');
      const killed = Promise.withResolvers<unknown>();
      cuts.left = 1;
      cuts.atCut = () => killed.resolve(daemon.kill());
      await publishTo(client, 'killed');
      await killed.promise;
      await daemon.start();
      await untilJoined();
      await settled(client, 'killed');
      expect(recordOf(daemon).count('killed')).toBe(1);
    });
  },
);
