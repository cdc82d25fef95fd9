import { expect, test } from 'vitest';
import { z } from 'zod';
import { MAX_PAYLOAD_BYTES, MAX_RECORDS } from '../../firmware-contracts/v1/limits.ts';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { until } from '../support/wait.ts';
import { airPack, type Passage, untilStored } from './passage.ts';

const refusedSchema = z.object({
  refused: z.array(
    z.object({
      code: z.string(),
      reason: z.string().min(1),
      pointer: z.string().nullable(),
      device: z.string().nullable(),
      topic: z.string(),
      bytes: z.number(),
      payload: z.string(),
    }),
  ),
  total: z.number(),
  byCode: z.record(z.string(), z.number()),
});
const houseSchema = z.object({ readings: z.object({ refused: z.number() }) });

/** Payload, code and pointer (RFC 6901) of packs that may not be stored; the first record of each is good but for the first three. */
const BAD_PACKS = [
  { payload: '', code: 'not-json', pointer: null },
  { payload: '{"n":"air/temperature","u":"Cel","v":20}', code: 'not-a-pack', pointer: null },
  { payload: '[{"n":"air/temperature","u":"Cel","v":"20"}]', code: 'bad-field', pointer: '/0/v' },
  { payload: secondRecord({ n: 'air/temperature', u: 'kPa', v: 1 }), code: 'unit-unknown', pointer: '/1' },
  { payload: secondRecord({ n: 'air/temperature', u: 'lx', v: 1 }), code: 'unit-unfit', pointer: '/1' },
  {
    payload: secondRecord({ n: 'air/temperature', u: 'Cel', v: 1_000 }),
    code: 'out-of-range',
    pointer: '/1',
  },
  { payload: secondRecord({ n: 'air/temperature', u: 'Cel' }), code: 'no-value', pointer: '/1' },
  { payload: secondRecord({ n: 'x', v: 1, must_: 1 }), code: 'must-understand', pointer: '/1/must_' },
  {
    payload: secondRecord({ n: 'air/humidity', u: '%RH', v: 1, t: 2e9 + 4e8 }),
    code: 'time-in-future',
    pointer: '/1',
  },
] as const;

function secondRecord(record: object): string {
  return JSON.stringify([{ n: 'root/temperature', u: 'Cel', v: 20 }, record]);
}

/** Spaces after the pack: they are JSON, and count. */
function padded(payload: string, bytes: number): string {
  return payload.padEnd(bytes, ' ');
}

function packOf(records: number): string {
  const record = (k: number) => ({ n: `spare/${k}`, v: k });
  return JSON.stringify(Array.from({ length: records }, (_, k) => record(k)));
}

/** Publishes, waits until it is refused, and gives what is new among the refused. */
function refusalsAt({ gateway, device }: Passage) {
  const refused = () => gateway().daemon.read('/api/v1/refused', refusedSchema);
  return async (topic: string, payload: string | Buffer) => {
    const before = await refused();
    await device().publish({ topic, payload });
    const after = await until(
      async () => {
        const now = await refused();
        return now.total > before.total ? now : null;
      },
      { what: 'refusal', withinMs: 10_000 },
    );
    expect(after.total).toBe(before.total + 1);
    const newest = after.refused[0];
    const code = newest?.code ?? '';
    expect(after.byCode[code]).toBe((before.byCode[code] ?? 0) + 1);
    const house = await gateway().daemon.read('/api/v1/house', houseSchema);
    expect(house.readings.refused).toBe(after.total);
    return newest;
  };
}

/**
 * What every door does with packs that may not be stored.
 *
 * @param passage the open door
 */
export function refusalContract({ gateway, device, record }: Passage): void {
  const refusalOf = refusalsAt({ gateway, device, record });
  test.each(BAD_PACKS.map((pack, index) => ({ ...pack, name: `bad-${index}` })))(
    '$name is acknowledged, listed as $code at $pointer with its payload, counted once, and none of it stored',
    async ({ payload, code, pointer, name }) => {
      const topic = readingsTopic(name);
      const bytes = Buffer.byteLength(payload);
      expect(await refusalOf(topic, payload)).toMatchObject({
        code,
        pointer,
        device: name,
        topic,
        payload,
        bytes,
      });
      expect(record().count(name)).toBe(0);
    },
  );

  test('2 bytes that are no UTF-8 are refused as not-utf8', async () => {
    const newest = await refusalOf(readingsTopic('bad-bytes'), Buffer.from([0xc3, 0x28]));
    expect(newest).toMatchObject({ code: 'not-utf8', device: 'bad-bytes', bytes: 2 });
  });

  test('65,537 bytes are refused and kept to 65,536, after which the same connection accepts a pack of 65,536', async () => {
    const topic = readingsTopic('bench-large');
    const pack = airPack({ atS: 0, valueC: 20 });
    const newest = await refusalOf(topic, padded(pack, MAX_PAYLOAD_BYTES + 1));
    expect(newest).toMatchObject({ code: 'payload-too-large', device: 'bench-large', bytes: 65_537 });
    expect(newest?.payload).toBe(padded(pack, 65_536));
    expect(record().count('bench-large')).toBe(0);
    await device().publish({ topic, payload: padded(pack, MAX_PAYLOAD_BYTES) });
    await untilStored(record(), { device: 'bench-large', count: 1 });
  });

  test('501 records are refused, and the same connection then accepts a pack of 1', async () => {
    const topic = readingsTopic('bench-many');
    const newest = await refusalOf(topic, packOf(MAX_RECORDS + 1));
    expect(newest).toMatchObject({ code: 'too-many-records', device: 'bench-many' });
    expect(record().count('bench-many')).toBe(0);
    await device().publish({ topic, payload: packOf(1) });
    await untilStored(record(), { device: 'bench-many', count: 1 });
  });

  test('500 records of 1 probe are stored', async () => {
    const records = Array.from({ length: MAX_RECORDS }, (_, k) => ({
      n: 'air/temperature',
      u: 'Cel',
      v: k / 10,
      t: -k,
    }));
    await device().publish({ topic: readingsTopic('bench-500'), payload: JSON.stringify(records) });
    await untilStored(record(), { device: 'bench-500', count: 500 });
  });
}

/**
 * Which names of devices every door takes.
 *
 * @param passage the open door
 */
export function namesContract({ gateway, device, record }: Passage): void {
  const refusalOf = refusalsAt({ gateway, device, record });

  test.each(['bench 1', 'größe', 'b'.repeat(65), 'bench:1', ''])(
    'the device name "%s" is refused as bad-topic, and the connection stays',
    async (name) => {
      const topic = `strikewell/1/${name}/readings`;
      const newest = await refusalOf(topic, airPack({ atS: 0, valueC: 20 }));
      expect(newest).toMatchObject({ code: 'bad-topic', device: null, topic });
    },
  );

  test.each(['b'.repeat(64), 'A-z_0.9', 'alarms', 'places', 'watch'])(
    'the device name "%s" is accepted',
    async (name) => {
      await device().publish({ topic: readingsTopic(name), payload: airPack({ atS: 0, valueC: 20 }) });
      await untilStored(record(), { device: name, count: 1 });
    },
  );
}
