import { expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { decodePack } from '../../server/domain/ingest/decode.ts';
import { damagedPacks } from '../fuzz/packs.ts';
import { startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { openRecord } from '../support/record.ts';
import { EXAMPLE_TOPIC } from '../unit/firmware-contracts/examples.ts';

const PACKS = 2_000;
const refusedSchema = z.object({ byCode: z.record(z.string(), z.number()) });

test(`${PACKS} damaged packs (seed 11) over MQTT, and one of 65537 bytes, are each acknowledged and stored or counted as refused, and the daemon lives`, async () => {
  const daemon = await startDaemon();
  onTestFinished(() => daemon.close());
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  const packs = [...damagedPacks({ count: PACKS, seed: 11 })].map(({ payload }) => Buffer.from(payload));
  packs.push(Buffer.alloc(65_537, '['));
  for (const payload of packs) await publisher.publish({ topic: EXAMPLE_TOPIC, payload });
  await publisher.close();

  // What may be stored, judged apart from the daemon's process; damaged packs are judged against the schema in tests/fuzz.
  const judged = packs.map((payload) =>
    decodePack({ topic: EXAMPLE_TOPIC, payload, arrivedAtMs: Date.now(), retainedCopy: false }),
  );
  const probes = new Set(judged.flatMap((one) => (one.ok ? one.readings.map(({ probe }) => probe) : [])));
  const { byCode } = await daemon.read('/api/v1/refused', refusedSchema);
  const refused = Object.values(byCode).reduce((sum, count) => sum + count, 0);
  const tooMany = byCode['too-many-probes'] ?? 0;
  expect(refused - tooMany).toBe(judged.filter(({ ok }) => !ok).length);
  expect(byCode['payload-too-large']).toBe(1);
  const record = openRecord(daemon.dataDir);
  onTestFinished(() => record.close());
  const stored = record.readings();
  expect(stored.length).toBeGreaterThan(0);
  expect(stored.filter(({ device, probe }) => device !== 'bench-1' || !probes.has(probe))).toEqual([]);
  expect(record.integrity()).toBe('ok');
  expect((await daemon.get('/healthz')).status).toBe(200);
});
