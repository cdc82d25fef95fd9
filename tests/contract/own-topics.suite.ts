import { connectAsync } from 'mqtt';
import { expect, test } from 'vitest';
import { z } from 'zod';
import {
  alarmTopic,
  HEARTBEAT_TOPIC,
  placeNowTopic,
  readingsTopic,
  statusTopic,
} from '../../firmware-contracts/v1/topics.ts';
import { connectSubscriber, type Received } from '../support/mqttPublisher.ts';
import { until } from '../support/wait.ts';
import { airPack, type Passage, untilStored } from './passage.ts';

const heartbeatSchema = z.object({ time: z.iso.datetime(), intervalS: z.literal(30) });
const nowSchema = z.object({
  placeId: z.string(),
  quantities: z.object({ airTemperatureC: z.object({ value: z.number() }) }),
});
const alarmSchema = z.object({ placeId: z.string(), rule: z.string(), state: z.string() });
const totalSchema = z.object({ total: z.number() });

/**
 * What the daemon publishes, and what it makes of topics that carry no readings.
 *
 * @param passage the open door
 */
export function ownTopicsContract({ gateway, device, record }: Passage): void {
  /** What somebody who subscribes now is given as retained; subscribes again until there is something. */
  const retainedAt = (topic: string): Promise<Received> =>
    until(
      async () => {
        const subscriber = await connectSubscriber(gateway().broker, topic);
        try {
          const first = () => subscriber.received.find(({ retained }) => retained) ?? null;
          return await until(first, { what: topic, withinMs: 500 });
        } finally {
          await subscriber.close();
        }
      },
      { what: `retained message on ${topic}`, withinMs: 15_000 },
    );

  test('a subscriber who comes later is given the heartbeat, with a time of the last 31 s', async () => {
    const { payload } = await retainedAt(HEARTBEAT_TOPIC);
    const { time } = heartbeatSchema.parse(JSON.parse(payload));
    expect(Date.now() - Date.parse(time)).toBeLessThan(31_000);
  });

  test('a subscriber who comes later is given a place with its 1 value', async () => {
    const payload = JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: 19.25 }]);
    await device().publish({ topic: readingsTopic('bench-told'), payload });
    const kept = await retainedAt(placeNowTopic('bench-told'));
    const now = nowSchema.parse(JSON.parse(kept.payload));
    expect(now).toEqual({ placeId: 'bench-told', quantities: { airTemperatureC: { value: 19.25 } } });
  });

  test('a subscriber who comes later is given the alarm of air at 40 °C for 90 s', async () => {
    const hot = (t: number) => ({ n: 'air/temperature', u: 'Cel', v: 40, t });
    const payload = JSON.stringify([hot(-90), hot(0)]);
    await device().publish({ topic: readingsTopic('bench-hot'), payload });
    const kept = await retainedAt(alarmTopic('bench-hot.air-over-ceiling'));
    expect(alarmSchema.parse(JSON.parse(kept.payload))).toEqual({
      placeId: 'bench-hot',
      rule: 'air-over-ceiling',
      state: 'unacknowledged',
    });
  });

  test('a status, said and as a Will, is passed on retained and is neither refused nor a place', async () => {
    const { daemon, broker } = gateway();
    const before = await daemon.read('/api/v1/refused', totalSchema);
    const topic = statusTopic('bench-status');
    const will = { topic, payload: Buffer.from('{"state":"offline"}'), qos: 1 as const, retain: true };
    const dying = await connectAsync(broker.url, { will, reconnectPeriod: 0 });
    await dying.publishAsync(topic, '{"state":"online","firmware":"1.2"}', { qos: 1, retain: true });
    expect((await retainedAt(topic)).payload).toBe('{"state":"online","firmware":"1.2"}');
    dying.stream.destroy();
    await until(async () => ((await retainedAt(topic)).payload === '{"state":"offline"}' ? true : null), {
      what: 'Will',
      withinMs: 10_000,
    });

    await device().publish({ topic: readingsTopic('bench-after'), payload: airPack({ atS: 0, valueC: 20 }) });
    await untilStored(record(), { device: 'bench-after', count: 1 });
    expect(await daemon.read('/api/v1/refused', totalSchema)).toEqual(before);
    expect((await daemon.get('/api/v1/places/bench-status')).status).toBe(404);
  });
}
