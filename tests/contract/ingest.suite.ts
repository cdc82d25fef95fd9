import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import { openRecord, type RecordFile } from '../support/record.ts';
import { until } from '../support/wait.ts';
import { ownTopicsContract } from './own-topics.suite.ts';
import { ARRIVAL_MS, airPack, type Gateway, type Passage, untilStored } from './passage.ts';
import { namesContract, refusalContract } from './refusal.suite.ts';

const nowSchema = z.object({
  quantities: z.record(z.string(), z.object({ value: z.number(), unit: z.string(), at: z.string() })),
});
const seriesSchema = z.object({ points: z.array(z.object({ t: z.string(), value: z.number().nullable() })) });
const houseSchema = z.object({
  readings: z.object({ received: z.number(), refused: z.number(), conflicts: z.number() }),
});

/**
 * What every door promises to devices and growers, on real parts.
 *
 * @param name of the door
 * @param open starts the daemon with that door
 */
export function ingestContract(name: string, open: () => Promise<Gateway>): void {
  describe(name, () => {
    let parts: { gateway: Gateway; device: Publisher; record: RecordFile } | null = null;
    const opened = () => {
      if (parts === null) throw new Error('the door is not open yet');
      return parts;
    };
    const passage: Passage = {
      gateway: () => opened().gateway,
      device: () => opened().device,
      record: () => opened().record,
    };
    beforeAll(async () => {
      const gateway = await open();
      const device = await connectPublisher(gateway.broker, gateway.protocolVersion);
      parts = { gateway, device, record: openRecord(gateway.daemon.dataDir) };
    });
    afterAll(async () => {
      await parts?.device.close();
      parts?.record.close();
      await parts?.gateway.close();
    });
    arrivalContract(passage);
    storedOnceContract(passage);
    refusalContract(passage);
    namesContract(passage);
    ownTopicsContract(passage);
  });
}

function arrivalContract({ gateway, device, record }: Passage): void {
  test('a pack of 3 records makes a place whose state and series show the 3 values at their time', async () => {
    const { daemon } = gateway();
    const nowS = Math.floor(Date.now() / 1000);
    const pack = [
      { bn: 'bench-1/', bt: nowS, n: 'air/temperature', u: 'Cel', v: 23.5 },
      { n: 'air/humidity', u: '%RH', v: 81 },
      { n: 'root/temperature', u: 'K', v: 297.15 },
    ];
    await device().publish({ topic: readingsTopic('bench-1'), payload: JSON.stringify(pack) });
    await untilStored(record(), { device: 'bench-1', count: 3 });

    const at = new Date(nowS * 1000).toISOString();
    const { quantities } = await daemon.read('/api/v1/places/bench-1/now', nowSchema);
    expect(quantities['airTemperatureC']).toMatchObject({ value: 23.5, unit: '°C', at });
    expect(quantities['relativeHumidityPct']).toMatchObject({ value: 81, unit: '%RH', at });
    // 297.15 K − 273.15 K; a few units in the last place of a double may go.
    expect(quantities['rootZoneTemperatureC']?.value).toBeCloseTo(24, 10);
    const span = `from=${new Date((nowS - 60) * 1000).toISOString()}&to=${new Date((nowS + 60) * 1000).toISOString()}`;
    const path = `/api/v1/places/bench-1/series?quantity=airTemperatureC&${span}`;
    const { points } = await daemon.read(path, seriesSchema);
    expect(points).toMatchObject([{ t: at, value: 23.5 }]);
  });

  test('at each of 200 PUBACKs, with up to 20 packs under way, as many readings are in the database file', async () => {
    const behind: number[] = [];
    let pubacks = 0;
    gateway().onPuback = () => {
      pubacks += 1;
      const stored = record().count('bench-2');
      if (stored < pubacks) behind.push(pubacks - stored);
    };
    for (let first = 0; first < 200; first += 20) {
      const packs = Array.from({ length: 20 }, (_, k) => airPack({ atS: first + k, valueC: 20 + k / 10 }));
      const topic = readingsTopic('bench-2');
      await Promise.all(packs.map((payload) => device().publish({ topic, payload })));
    }
    await until(() => (pubacks === 200 ? true : null), { what: '200th PUBACK', withinMs: ARRIVAL_MS });
    gateway().onPuback = null;
    expect(behind).toEqual([]);
    expect(record().count('bench-2')).toBe(200);
  });

  test.each([0, 2] as const)('a pack sent with QoS %i is stored once', async (qos) => {
    const name = `bench-qos-${qos}`;
    await device().publish({ topic: readingsTopic(name), payload: airPack({ atS: 0, valueC: 21 }), qos });
    await untilStored(record(), { device: name, count: 1 });
    expect(record().readings(name)).toMatchObject([{ probe: 'air/temperature', value: 21 }]);
  });
}

function storedOnceContract({ gateway, device, record }: Passage): void {
  const conflicts = async () =>
    (await gateway().daemon.read('/api/v1/house', houseSchema)).readings.conflicts;

  test('a pack sent 3 times is stored once and is no conflict', async () => {
    const before = await conflicts();
    const topic = readingsTopic('bench-3');
    for (let time = 0; time < 3; time += 1)
      await device().publish({ topic, payload: airPack({ atS: 0, valueC: 22 }) });
    await device().publish({ topic, payload: airPack({ atS: 60, valueC: 22.5 }) });
    await untilStored(record(), { device: 'bench-3', count: 2 });
    expect(record().readings('bench-3')).toMatchObject([{ value: 22 }, { value: 22.5 }]);
    expect(await conflicts()).toBe(before);
  });

  test('another value for a stored time is counted as 1 conflict, and the first value stays', async () => {
    const before = await conflicts();
    const topic = readingsTopic('bench-4');
    await device().publish({ topic, payload: airPack({ atS: 0, valueC: 22 }) });
    await device().publish({ topic, payload: airPack({ atS: 0, valueC: 23 }) });
    await device().publish({ topic, payload: airPack({ atS: 60, valueC: 24 }) });
    await untilStored(record(), { device: 'bench-4', count: 2 });
    expect(record().readings('bench-4')).toMatchObject([{ value: 22 }, { value: 24 }]);
    expect(await conflicts()).toBe(before + 1);
  });
}
