import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { denseExposure } from '../support/denseIntegration.ts';
import { connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import * as replay from './open-data.ts';

/** The record of the room, as if cuttings had stood in it: from the evening it begins to the end of the third day. */
const STUCK = '2015-02-04T18:00:00.000Z';
const CALLUSING = '2015-02-05T06:17:00.000Z';
const ROOTING = '2015-02-06T03:31:07.250Z';
const TONING = '2015-02-07T01:00:00.000Z';
const READY = '2015-02-07T17:00:00.000Z';
const OTHER = 'office-two';
/** An hour of the second stage that comes only after all else. */
const isLate = ({ atMs }: { readonly atMs: number }) =>
  atMs >= Date.parse('2015-02-05T12:00:00Z') && atMs < Date.parse('2015-02-05T13:00:00Z');

const batchSchema = z.object({
  id: z.string(),
  placeId: z.string(),
  state: z.enum(['open', 'closed']),
  leading: z.boolean(),
  stage: z.string(),
  stages: z.array(
    z.object({ n: z.number(), stage: z.string(), from: z.string(), to: z.string().nullable() }),
  ),
});
const partsSchema = z.object({
  whole: replay.exposuresSchema,
  stages: z.array(
    z.object({ stage: z.string(), from: z.string(), to: z.string(), exposures: replay.exposuresSchema }),
  ),
});
type Parts = z.infer<typeof partsSchema>;
type Found = Parts['whole'];

/** All sums of exposures: hours, degree-hours, kPa·h and light; no extremes and no means. */
function sumsOf({ rootZone, air, vpd, saturation, light }: Found): Record<string, number> {
  const days = Object.fromEntries(light.days.map(({ date, dliMolM2 }) => [`light ${date}`, dliMolM2]));
  const named = { rootZone, air, vpd, saturation };
  const groups = Object.entries(named).flatMap(([group, values]) =>
    Object.entries(values).flatMap(([name, value]) =>
      /^(min|max|mean)/.test(name) ? [] : [[`${group} ${name}`, value as number] as const],
    ),
  );
  return { ...Object.fromEntries(groups), ...days, 'light covered': light.coveredHours };
}

function expectSum(whole: Found, parts: readonly Found[]): void {
  const sums = new Map<string, number>();
  for (const part of parts)
    for (const [name, value] of Object.entries(sumsOf(part))) sums.set(name, (sums.get(name) ?? 0) + value);
  for (const [name, value] of Object.entries(sumsOf(whole)))
    expect(Math.abs(value - (sums.get(name) ?? Number.NaN)), name).toBeLessThanOrEqual(1e-9);
}

describe('a batch in the published record of a room', () => {
  let daemon: Daemon;
  let publisher: Publisher;
  let batch = '';
  let moved = '';
  const partsOf = (id: string) => daemon.read(`/api/v1/batches/${id}/exposures`, partsSchema);
  const overPlace = (placeId: string, [from, to]: readonly [string, string]) =>
    daemon.read(`/api/v1/places/${placeId}/exposures?from=${from}&to=${to}`, replay.exposuresSchema);
  const added = async (path: string, body: unknown) => {
    const answer = await daemon.post(path, body);
    expect([path, answer.status, answer.body]).toMatchObject([path, 201, {}]);
    return batchSchema.parse(answer.body);
  };

  beforeAll(async () => {
    daemon = await startDaemon({ settings: replay.settings });
    publisher = await connectPublisher({ url: daemon.mqttUrl });
    const rows = replay.rows.filter((row) => !isLate(row));
    for (const [seed, device] of [replay.DEVICE, OTHER].entries()) {
      const packs = replay.packsOf({ rows, device, most: 40, seed });
      await replay.publishAll(publisher, device, packs);
    }
  });
  afterAll(async () => {
    await publisher.close();
    await daemon.close();
  });

  test('begins, goes through its four stages and is closed; the bands of the place follow', async () => {
    const order = {
      placeId: replay.DEVICE,
      crop: 'Poinsettia',
      sheetId: 'poinsettia',
      stuckAt: STUCK,
      count: 100,
    };
    const begun = await added('/api/v1/batches', { ...order, cultivar: 'Early Red', cutHour: 16 });
    batch = begun.id;
    expect(begun).toMatchObject({
      state: 'open',
      leading: true,
      stages: [{ stage: 'sticking', from: STUCK, to: null }],
    });
    for (const [stage, from] of [
      ['callusing', CALLUSING],
      ['rooting', ROOTING],
      ['toning', TONING],
    ])
      await added(`/api/v1/batches/${batch}/stages`, { stage, from });
    const { body } = await daemon.get(`/api/v1/places/${replay.DEVICE}/targets`);
    const { body: sheets } = await daemon.get('/api/v1/sheets');
    const sheetsSchema = z.object({
      sheets: z.array(
        z.object({ id: z.string(), stages: z.array(z.object({ id: z.string(), targets: z.unknown() })) }),
      ),
    });
    const poinsettia = sheetsSchema.parse(sheets).sheets.find(({ id }) => id === 'poinsettia');
    expect(body).toEqual(poinsettia?.stages.find(({ id }) => id === 'toning')?.targets);
    const closed = await daemon.patch(`/api/v1/batches/${batch}`, { state: 'closed', closedAt: READY });
    expect(closed).toMatchObject({ status: 200, body: { state: 'closed', closedAt: READY, leading: false } });
  });

  test('its stages are what the place was exposed to, and add up to the whole to 1e-9', async () => {
    const { whole, stages } = await partsOf(batch);
    expect(stages.map(({ stage, from, to }) => [stage, from, to])).toEqual([
      ['sticking', STUCK, CALLUSING],
      ['callusing', CALLUSING, ROOTING],
      ['rooting', ROOTING, TONING],
      ['toning', TONING, READY],
    ]);
    expect(whole).toEqual(await overPlace(replay.DEVICE, [STUCK, READY]));
    for (const { from, to, exposures } of stages)
      expect(exposures).toEqual(await overPlace(replay.DEVICE, [from, to]));
    expectSum(
      whole,
      stages.map(({ exposures }) => exposures),
    );
  });

  test('what was covered and the mean of each stage are those of a dense integration of the rows', async () => {
    const { stages } = await partsOf(batch);
    const rows = replay.rows.filter((row) => !isLate(row));
    const track = replay.trackOf(rows, (row) => row.airTemperatureC);
    for (const { from, to, exposures } of stages) {
      const window = { fromMs: Date.parse(from), toMs: Date.parse(to) };
      const open = () => ({ low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY });
      const dense = denseExposure(track, window, open);
      replay.expectNear(exposures.air.coveredHours, dense.coveredHours, replay.VALUE_TOLERANCE);
      replay.expectNear(exposures.air.meanC, dense.mean, replay.VALUE_TOLERANCE);
    }
  });

  test('readings that come late land in their stage: an hour more in the second, nothing else moves', async () => {
    const before = await partsOf(batch);
    const packs = replay.packsOf({
      rows: replay.rows.filter(isLate),
      device: replay.DEVICE,
      most: 40,
      seed: 3,
    });
    await replay.publishAll(publisher, replay.DEVICE, packs);
    const after = await partsOf(batch);
    const covered = ({ stages }: Parts) => stages.map(({ exposures }) => exposures.air.coveredHours);
    const grown = covered(after).map((hours, i) => hours - (covered(before)[i] ?? Number.NaN));
    expect(grown[1]).toBeGreaterThan(0.9);
    expect([grown[0], grown[2], grown[3]]).toEqual([0, 0, 0]);
    for (const i of [0, 2, 3]) expect(after.stages[i]).toEqual(before.stages[i]);
    expectSum(
      after.whole,
      after.stages.map(({ exposures }) => exposures),
    );
  });

  test('moved twice, it takes along what it had: the sum over the places where it stood', async () => {
    const order = {
      placeId: replay.DEVICE,
      crop: 'Coleus',
      sheetId: 'poinsettia',
      stuckAt: STUCK,
      count: 80,
    };
    moved = (await added('/api/v1/batches', order)).id;
    const there = '2015-02-05T09:00:00.500Z';
    const back = '2015-02-06T15:45:00.000Z';
    await added(`/api/v1/batches/${moved}/moves`, { placeId: OTHER, from: there });
    await added(`/api/v1/batches/${moved}/moves`, { placeId: replay.DEVICE, from: back });
    await added(`/api/v1/batches/${moved}/stages`, { stage: 'callusing', from: '2015-02-06T00:00:00Z' });
    await daemon.patch(`/api/v1/batches/${moved}`, { state: 'closed', closedAt: READY });
    const { whole, stages } = await partsOf(moved);
    const parts = [
      await overPlace(replay.DEVICE, [STUCK, there]),
      await overPlace(OTHER, [there, back]),
      await overPlace(replay.DEVICE, [back, READY]),
    ];
    expectSum(whole, parts);
    expectSum(
      whole,
      stages.map(({ exposures }) => exposures),
    );
    expect(whole.air.coveredHours).toBeGreaterThan(65);
  });

  test('56 of 70 and 48 of 80 rooted differ by 0.2000, 0.0524 to 0.3339 (Newcombe 1998b); 10 of 12 is told apart from neither', async () => {
    await added(`/api/v1/batches/${batch}/counts`, { at: TONING, looked: 70, rooted: 40 });
    const last = { at: READY, looked: 70, rooted: 56, lost: [{ cause: 'rot', n: 4 }] };
    await added(`/api/v1/batches/${batch}/counts`, last);
    await added(`/api/v1/batches/${moved}/counts`, { at: READY, looked: 80, rooted: 48 });
    const { body } = await daemon.get(`/api/v1/compare?batches=${batch},${moved}`);
    const close = (value: number) => expect.closeTo(value, 4) as unknown;
    expect(body).toMatchObject({
      strike: {
        difference: close(0.2),
        low95: close(0.0524),
        high95: close(0.3339),
        method: 'Newcombe',
        toldApart: true,
        better: batch,
      },
    });
    expect(body).toMatchObject({
      pairs: [{ means: [{ quantity: 'airTemperatureC', toldApart: false }, { difference: null }] }],
    });
    const swapped = await daemon.get(`/api/v1/compare?batches=${moved},${batch}`);
    expect(swapped.body).toMatchObject({ strike: { difference: close(-0.2), better: batch } });
    await added(`/api/v1/batches/${moved}/counts`, { at: READY, looked: 12, rooted: 10 });
    const near = await daemon.get(`/api/v1/compare?batches=${batch},${moved}`);
    expect(near.body).toMatchObject({ strike: { toldApart: false, better: null } });
    const strike = await daemon.get(`/api/v1/batches/${batch}/strike`);
    expect(strike.body).toMatchObject({ looked: 70, rooted: 56, share: 0.8, method: 'Wilson' });
  });

  test('no root zone was measured: 0 h of thermal time are covered; coleus has no published limits and says so', async () => {
    const known = await daemon.get(`/api/v1/batches/${batch}/thermal-time`);
    expect(known.body).toMatchObject({ baseC: 21, optimumC: 28, stopC: 32, degreeHours: 0, coveredHours: 0 });
    const unknown = await daemon.get(`/api/v1/batches/${moved}/thermal-time`);
    expect(unknown.body).toMatchObject({
      baseC: null,
      degreeHours: null,
      reason: expect.stringContaining('Coleus'),
    });
  });

  test('a power cut changes nothing of it', async () => {
    const before = [await partsOf(batch), await partsOf(moved)];
    const { body } = await daemon.get('/api/v1/batches');
    await publisher.close();
    await daemon.kill();
    await daemon.start();
    publisher = await connectPublisher({ url: daemon.mqttUrl });
    expect((await daemon.get('/api/v1/batches')).body).toEqual(body);
    expect([await partsOf(batch), await partsOf(moved)]).toEqual(before);
  });

  test('a reading of a device that nobody knows still makes a place, and its batch leads there', async () => {
    const now = Math.floor(Date.now() / 1_000);
    const payload = JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: 22, t: now }]);
    await publisher.publish({ topic: readingsTopic('dome'), payload });
    const order = {
      placeId: 'dome',
      crop: 'Fuchsia',
      sheetId: 'poinsettia',
      stuckAt: new Date().toISOString(),
      count: 1,
    };
    expect(await added('/api/v1/batches', order)).toMatchObject({ leading: true, placeId: 'dome' });
  });
});
