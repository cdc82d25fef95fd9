import { describe, expect, test } from 'vitest';
import { MAX_PROBES_PER_DEVICE } from '../../../../../server/domain/lifecycle/quotas.ts';
import { airRecord, packOf, START_MS, startHouse, TARGET_SHEET_FILE } from '../../support/house.ts';

type House = ReturnType<typeof startHouse>;
const spare = (count: number, from = 0) =>
  Array.from({ length: count }, (_, k) => ({ n: `spare/${from + k}`, v: k }));
const refusedCodes = (house: House) => house.daemon.queries.refused().refused.map(({ code }) => code);

describe('first contact', () => {
  test('1 pack of an unknown device makes a place named after it, with the usual targets', async () => {
    const house = startHouse();
    await house.report([airRecord(22)], 'case-3');
    expect(house.daemon.queries.places()).toMatchObject([
      { id: 'case-3', name: 'case-3', kind: 'unstated', invented: false, targets: TARGET_SHEET_FILE.targets },
    ]);
    expect(house.daemon.queries.now('case-3')).toMatchObject({
      placeId: 'case-3',
      newestAt: new Date(START_MS).toISOString(),
      probesTelling: 1,
      quantities: { airTemperatureC: { value: 22, unit: '°C', state: 'within' } },
    });
  });

  test('a probe whose name says nothing is kept without a place: 1 of 2 is assigned', async () => {
    const house = startHouse();
    await house.report([airRecord(21), { n: 'co2', u: 'ppm', v: 600 }]);
    const probes = house.daemon.queries
      .probes()
      .map(({ name, placeId, latest }) => [name, placeId, latest?.value]);
    expect(probes).toEqual([
      ['air/temperature', 'bench-1', 21],
      ['co2', null, 600],
    ]);
    expect(house.daemon.queries.now('bench-1').probesAssigned).toBe(1);
  });

  test(`of 1 device ${MAX_PROBES_PER_DEVICE} probes are accepted; a pack with 1 more is refused whole, known ones still accepted`, async () => {
    const house = startHouse();
    await house.report(spare(MAX_PROBES_PER_DEVICE));
    house.hand.pass(1_000);
    await house.report([...spare(1), ...spare(1, MAX_PROBES_PER_DEVICE)]);
    expect(refusedCodes(house)).toEqual(['too-many-probes']);
    expect(house.daemon.queries.house().readings).toMatchObject({ received: 200, refused: 1 });
    await house.report(spare(MAX_PROBES_PER_DEVICE));
    expect(house.daemon.queries.house().readings).toMatchObject({ received: 400, refused: 1 });
    await house.report(spare(1), 'other');
    expect(house.daemon.queries.probes()).toHaveLength(MAX_PROBES_PER_DEVICE + 1);
  });
});

describe('what comes twice', () => {
  test('the same reading twice is stored once and counted once', async () => {
    const house = startHouse();
    for (let time = 0; time < 2; time++) await house.report([airRecord(21)]);
    expect(house.daemon.queries.house().readings).toEqual({ received: 1, refused: 0, conflicts: 0 });
  });

  test('another value for the same time is 1 conflict of its probe; the first stays', async () => {
    const house = startHouse();
    await house.report([airRecord(21)]);
    await house.report([airRecord(22)]);
    expect(house.daemon.queries.house().readings).toEqual({ received: 1, refused: 0, conflicts: 1 });
    expect(house.daemon.queries.probes()).toMatchObject([{ conflicts: 1, latest: { value: 21 } }]);
  });

  test('2 values of 1 probe and time in 1 pack are 1 reading and 1 conflict', async () => {
    const house = startHouse();
    await house.report([airRecord(21), airRecord(22)]);
    expect(house.daemon.queries.house().readings).toMatchObject({ received: 1, conflicts: 1 });
  });
});

describe('what is not accepted as readings', () => {
  test('1 bad record refuses its pack of 2, kept as it was sent, and not the pack beside it', async () => {
    const house = startHouse();
    const bad = [airRecord(21), { n: 'root/temperature', v: 22 }];
    const all = [packOf(bad), packOf([airRecord(20)], { device: 'dome' })].map((one) => house.send(one));
    await Promise.all(all);
    expect(house.daemon.queries.refused()).toMatchObject({
      refused: [{ code: 'unit-missing', device: 'bench-1', payload: JSON.stringify(bad), pointer: '/1' }],
      total: 1,
      byCode: { 'unit-missing': 1 },
    });
    expect(house.daemon.queries.places().map(({ id }) => id)).toEqual(['dome']);
  });

  test('a payload of 70000 bytes is refused and kept up to 65536 of them', async () => {
    const house = startHouse();
    const payload = new TextEncoder().encode(`[${' '.repeat(69_998)}]`);
    await house.send({ ...packOf([]), payload });
    const [refusal] = house.daemon.queries.refused().refused;
    expect(refusal).toMatchObject({ code: 'payload-too-large', bytes: 70_000 });
    expect(refusal?.payload).toHaveLength(65_536);
  });

  test('a status message makes no place and no refusal', async () => {
    const house = startHouse();
    await house.send({
      ...packOf([]),
      topic: 'strikewell/1/bench-1/status',
      payload: new Uint8Array([123, 125]),
    });
    expect([house.daemon.queries.places(), refusedCodes(house)]).toEqual([[], []]);
  });
});

describe('what others are sent', () => {
  test('a page is sent a first reading at once and the 50 of the next 40 ms together, a topic every 10 s once', async () => {
    const house = startHouse();
    await house.report([airRecord(20)]);
    for (let k = 1; k <= 50; k++) await house.report([airRecord(20 + k / 10, { ageS: 100 - k })]);
    const now = () => house.sent.filter(({ kind }) => kind === 'now').length;
    expect(now()).toBe(1);
    house.hand.pass(40);
    expect(now()).toBe(2);
    const topics = () =>
      house.published.filter(({ topic }) => topic === 'strikewell/1/places/bench-1/now').length;
    expect(topics()).toBe(0);
    house.hand.pass(10_000);
    expect(topics()).toBe(1);
  });

  test('the heartbeat goes out at the start and every 30 s: 3 times in 60 s', () => {
    const house = startHouse();
    house.hand.pass(60_000);
    const beats = house.published.filter(({ topic }) => topic === 'strikewell/1/watch/heartbeat');
    const times = beats.map(({ payload }) => Date.parse(JSON.parse(payload).time) - START_MS);
    expect(times).toEqual([0, 30_000, 60_000]);
  });

  test('once stopped, nothing more is sent', async () => {
    const house = startHouse();
    await house.report([airRecord(20)]);
    house.daemon.stop();
    const before = [house.sent.length, house.published.length];
    house.hand.pass(600_000);
    expect([house.sent.length, house.published.length]).toEqual(before);
  });
});
