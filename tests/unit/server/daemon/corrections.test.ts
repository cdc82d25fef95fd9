import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { Exchange } from '../../../../server/ports.ts';
import { bytesOf, exchangeOf, ORDER } from '../support/exchange.ts';
import { failingStore } from '../support/failing-store.ts';
import { clockByHand } from '../support/hand.ts';
import { databaseFile, type House, packOf, type SentRecord, START_MS, startHouse } from '../support/house.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;
/** Everything below was read long ago, and is sealed and settled. */
const NOW_MS = START_MS + 48 * HOUR_MS;

/** A reading every 10 min from START_MS on. */
function readings(name: string, values: readonly number[], unit = 'Cel'): SentRecord[] {
  return values.map((v, i) => ({ n: name, u: unit, v, t: START_MS / 1_000 + i * 600 }));
}

async function houseWith(records: readonly SentRecord[], file = databaseFile()): Promise<House> {
  const house = startHouse({ hand: clockByHand(NOW_MS), store: openStore({ file, nowMs: 0 }) });
  await house.send(packOf(records, { arrivedAtMs: NOW_MS }));
  house.hand.pass(60_000);
  return house;
}

function probeId({ daemon }: House, name: string): number {
  const id = daemon.world.probeNamed({ device: 'bench-1', name })?.id;
  if (id === undefined) throw new Error(`no probe ${name}`);
  return id;
}

type Order = { readonly offset: number; readonly gain?: number; readonly fromMin?: number };

function correct(house: House, name: string, { offset, gain = 1, fromMin = 0 }: Order) {
  const fromMs = START_MS + fromMin * MINUTE_MS;
  const order = { gain, offset, fromMs, reason: 'against ice', checkId: null };
  return house.daemon.checks.correct(probeId(house, name), order);
}

const SPAN = { fromMs: START_MS, toMs: START_MS + 3 * HOUR_MS };
const airOf = ({ daemon }: House) => daemon.queries.exposures('bench-1', SPAN).air;
const raw = ({ store }: House, id: number) =>
  store.journal.window({ probeIds: [id], ...SPAN, asReported: true });
const used = ({ store }: House, id: number) => store.journal.window({ probeIds: [id], ...SPAN });

describe('a correction', () => {
  test('of −0.5 K makes 3 h at 24 °C 3 h at 23.5 °C in exposures, series and the present, and stays out of the record', async () => {
    const house = await houseWith(readings('air/temperature', Array(19).fill(24)));
    expect(airOf(house)).toMatchObject({ coveredHours: 3, meanC: 24 });
    correct(house, 'air/temperature', { offset: -0.5 });
    expect(airOf(house)).toMatchObject({ coveredHours: 3, meanC: 23.5, minC: 23.5, maxC: 23.5 });
    const series = (points: number | null) =>
      house.daemon.queries.series('bench-1', { quantity: 'airTemperatureC', ...SPAN, points }).points;
    expect(series(null).map(({ value }) => value)).toEqual(Array(19).fill(23.5));
    // one point an hour: drawn from the summaries of hours
    expect(series(3).map(({ min, max }) => [min, max])).toEqual(Array(3).fill([23.5, 23.5]));
    expect(house.daemon.queries.probes()[0]?.latest?.value).toBe(23.5);
    expect([...(raw(house, probeId(house, 'air/temperature'))[0]?.values ?? [])]).toEqual(Array(19).fill(24));
  });

  test('from 1 h on leaves the first hour: 3 h of 20 °C are 20, then 22 °C, with 10 min between them', async () => {
    const house = await houseWith(readings('air/temperature', Array(19).fill(20)));
    correct(house, 'air/temperature', { offset: 2, fromMin: 60 });
    // 50 min at 20, 10 min from 20 to 22, 120 min at 22: (50·20 + 10·21 + 120·22) / 180
    expect(airOf(house).meanC).toBeCloseTo((50 * 20 + 10 * 21 + 120 * 22) / 180, 9);
    expect(airOf(house)).toMatchObject({ minC: 20, maxC: 22 });
  });

  test('of gain 1.5 and −25 %RH maps 33 and 80 %RH to 24.5 and 95, and 90 no further than 105', async () => {
    const house = await houseWith(readings('air/humidity', [33, 80, 90], '%RH'));
    correct(house, 'air/humidity', { gain: 1.5, offset: -25 });
    expect([...(used(house, probeId(house, 'air/humidity'))[0]?.values ?? [])]).toEqual([24.5, 95, 105]);
  });

  test('entered later replaces what held from its time on; one of gain 1 and offset 0 ends it', async () => {
    const house = await houseWith(readings('air/temperature', Array(7).fill(20)));
    correct(house, 'air/temperature', { offset: 1, fromMin: 0 });
    correct(house, 'air/temperature', { offset: 3, fromMin: 40 });
    correct(house, 'air/temperature', { offset: 2, fromMin: 20 });
    correct(house, 'air/temperature', { offset: 0, fromMin: 50 });
    const id = probeId(house, 'air/temperature');
    expect([...(used(house, id)[0]?.values ?? [])]).toEqual([21, 21, 22, 22, 22, 20, 20]);
    expect(house.store.corrections.of(id)).toHaveLength(4);
  });

  test('that is withdrawn counts for nothing, stays in the history, and can be put back', async () => {
    const house = await houseWith(readings('air/temperature', Array(19).fill(24)));
    const { id } = correct(house, 'air/temperature', { offset: 1 });
    expect(airOf(house).meanC).toBe(25);
    house.daemon.checks.setWithdrawn(id, { withdrawn: true, by: 'Ada' });
    expect(airOf(house).meanC).toBe(24);
    expect(house.store.corrections.one(id)).toMatchObject({
      withdrawnMs: NOW_MS + 60_000,
      withdrawnBy: 'Ada',
    });
    house.daemon.checks.setWithdrawn(id, { withdrawn: false });
    expect(airOf(house).meanC).toBe(25);
  });

  test('holds after a restart, and 85 °C of a probe that was just switched on is still left out', async () => {
    const file = databaseFile();
    const before = await houseWith(readings('air/temperature', [20, 20, 85, 20, 20]), file);
    correct(before, 'air/temperature', { offset: 0.5 });
    before.daemon.stop();
    before.store.close();
    const after = await houseWith([], file);
    expect(airOf(after)).toMatchObject({ minC: 20.5, maxC: 20.5 });
    expect(after.daemon.queries.now('bench-1').quantities.airTemperatureC?.value).toBe(20.5);
  });

  test('that the disk refuses is not in force', async () => {
    const failing = failingStore(openStore({ file: databaseFile(), nowMs: 0 }));
    const house = startHouse({ hand: clockByHand(NOW_MS), store: failing.store });
    await house.send(packOf(readings('air/temperature', Array(19).fill(24)), { arrivedAtMs: NOW_MS }));
    failing.failAt(0);
    expect(() => correct(house, 'air/temperature', { offset: 1 })).toThrow('could not keep the change');
    failing.mend();
    expect(airOf(house).meanC).toBe(24);
    expect(house.daemon.queries.probes()[0]?.latest?.value).toBe(24);
  });

  test('is refused of a valve, beyond 10 K, ahead of now, and of a probe that is not there', async () => {
    const house = await houseWith([
      ...readings('air/temperature', [20]),
      { n: 'mist/valve', vb: true, t: START_MS / 1_000 },
    ]);
    expect(() => correct(house, 'mist/valve', { offset: 1 })).toThrow('no temperature, humidity or light');
    expect(() => correct(house, 'air/temperature', { offset: 10.1 })).toThrow('from -10 to 10');
    expect(() => correct(house, 'air/temperature', { offset: 1, fromMin: 3 * 24 * 60 })).toThrow(
      'must not lie ahead',
    );
    const order = { gain: 1, offset: 1, fromMs: null, reason: 'x', checkId: null };
    expect(() => house.daemon.checks.correct(99, order)).toThrow('no probe 99');
    expect(() =>
      house.daemon.checks.correct(probeId(house, 'air/temperature'), { ...order, checkId: 7 }),
    ).toThrow('no check 7');
    expect(() => house.daemon.checks.setWithdrawn(5, { withdrawn: true })).toThrow('no correction 5');
  });

  test('is gone with its probe: the next probe of that number is no correction', async () => {
    const house = await houseWith(readings('air/temperature', [20, 20]));
    const before = probeId(house, 'air/temperature');
    correct(house, 'air/temperature', { offset: 5 });
    house.store.transaction(() => house.store.places.removeWithRecord('bench-1'));
    house.daemon.world.reload();
    await house.send(packOf(readings('air/temperature', [20, 20]), { arrivedAtMs: NOW_MS }));
    expect(probeId(house, 'air/temperature')).toBe(before);
    expect([...(used(house, before)[0]?.values ?? [])]).toEqual([20, 20]);
    expect(house.store.corrections.of(null)).toEqual([]);
  });
});

describe('alarms as readings come', () => {
  // the ceiling of the sheet is 26.7 °C, and its alarm waits a minute at most
  const minutes = async (house: House, valueC: number) => {
    for (let minute = 0; minute < 5; minute++) {
      house.hand.pass(60_000);
      await house.report([{ n: 'air/temperature', u: 'Cel', v: valueC }]);
    }
    return house.daemon.queries.alarms().filter(({ rule }) => rule === 'air-over-ceiling').length;
  };

  test.each([
    ['27.5 °C told and 26 °C meant raise nothing', 27.5, -1.5, 0],
    ['26 °C told and 27.5 °C meant raise the ceiling alarm', 26, 1.5, 1],
  ])('%s', async (_, valueC, offset, raised) => {
    const house = startHouse();
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 22 }]);
    house.daemon.checks.correct(probeId(house, 'air/temperature'), {
      gain: 1,
      offset,
      fromMs: null,
      reason: 'against ice',
      checkId: null,
    });
    expect(await minutes(house, valueC)).toBe(raised);
  });

  test('of a correction that is entered the newest value shows it at once: 22 °C are 23 °C', async () => {
    const house = startHouse();
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 22 }]);
    const order = { gain: 1, offset: 1, fromMs: START_MS, reason: 'against ice', checkId: null };
    house.daemon.checks.correct(probeId(house, 'air/temperature'), order);
    expect(house.daemon.queries.now('bench-1').quantities.airTemperatureC?.value).toBe(23);
  });
});

describe('hours and minutes that are kept', () => {
  // one reading every 10 min: 20 … 25 °C in the first hour, 26 … 31 in the second
  const rising = readings(
    'air/temperature',
    Array.from({ length: 12 }, (_, i) => 20 + i),
  );
  const extremes = (house: House) =>
    house.store.journal
      .hours(probeId(house, 'air/temperature'), SPAN)
      .map(({ min, max, coveredMs, area }) => [min, max, area / coveredMs]);

  test('of gain 1.1 and −2 K are 20 to 25.5 °C of mean 22.75 in place of 20 to 25 of mean 22.5', async () => {
    const house = await houseWith(rising);
    expect(extremes(house)).toEqual([
      [20, 25, 22.5],
      [26, 31, 28.5],
    ]);
    correct(house, 'air/temperature', { gain: 1.1, offset: -2 });
    const expected = [20, 25, 22.5, 26, 31, 28.5].map((value) => 1.1 * value - 2);
    for (const [i, value] of extremes(house).flat().entries()) expect(value).toBeCloseTo(expected[i] ?? 0, 9);
  });

  test('in which a correction begins are summed up again: +10 K from 30 min on makes 20 to 35 °C', async () => {
    const house = await houseWith(rising);
    correct(house, 'air/temperature', { offset: 10, fromMin: 30 });
    // 20 21 22 33 34 35: five straight pieces of 10 min, means 20.5 21.5 27.5 33.5 34.5
    const [first] = extremes(house);
    expect(first?.slice(0, 2)).toEqual([20, 35]);
    expect(first?.[2]).toBeCloseTo((20.5 + 21.5 + 27.5 + 33.5 + 34.5) / 5, 9);
  });

  test('behind the horizon are as they were before their readings went, and no correction may begin there', async () => {
    const file = databaseFile();
    const openAt = (nowMs: number) =>
      startHouse({ hand: clockByHand(nowMs), keepRawDays: 35, store: openStore({ file, nowMs: 0 }) });
    const early = openAt(NOW_MS);
    await early.send(packOf(rising, { arrivedAtMs: NOW_MS }));
    correct(early, 'air/temperature', { gain: 1.1, offset: -2, fromMin: 30 });
    const seen = (house: House) => ({
      hours: extremes(house),
      minutes: house.store.journal.minutes(probeId(house, 'air/temperature'), SPAN),
      exposures: house.daemon.queries.exposures('bench-1', SPAN),
    });
    const before = seen(early);
    early.daemon.stop();
    early.store.close();
    const house = openAt(NOW_MS + 60 * 24 * HOUR_MS);
    house.hand.pass(10 * 60_000);
    expect(raw(house, probeId(house, 'air/temperature'))).toEqual([]);
    expect(seen(house)).toEqual(before);
    expect(() => correct(house, 'air/temperature', { offset: 1 })).toThrow('not kept any more');
    const [{ id } = { id: 0 }] = house.store.corrections.of(null);
    expect(() => house.daemon.checks.setWithdrawn(id, { withdrawn: true })).toThrow('not kept any more');
  });
});

describe('an export', () => {
  const textOf = (exchange: Exchange, as: 'csv' | 'ndjson' | 'senml') => {
    const answer = exchange.exportOf('logger', { what: 'readings', as, by: 'day', fromMs: null, toMs: null });
    return { text: [...answer.chunks].map(({ text }) => text).join(''), leftOut: answer.leftOut };
  };
  const houseOfLogger = async () => {
    const house = startHouse({ hand: clockByHand(NOW_MS) });
    await house.send(
      packOf(readings('air/temperature', [20, 21]), { device: 'logger', arrivedAtMs: NOW_MS }),
    );
    const id = house.daemon.world.probeNamed({ device: 'logger', name: 'air/temperature' })?.id ?? 0;
    const order = { gain: 1, offset: 0.5, fromMs: START_MS + 60_000, reason: 'against ice', checkId: null };
    house.daemon.checks.correct(id, order);
    return house;
  };

  test('as CSV and NDJSON has what was sent, and beside it what it is corrected to', async () => {
    const exchange = exchangeOf(await houseOfLogger());
    expect(textOf(exchange, 'csv').text.split('\r\n').slice(0, 3)).toEqual([
      'time,logger/air/temperature [°C],corrected logger/air/temperature [°C]',
      '2026-06-01T10:00:00.000Z,20,20',
      '2026-06-01T10:10:00.000Z,21,21.5',
    ]);
    const lines = textOf(exchange, 'ndjson').text.trim().split('\n');
    expect(lines.map((line) => JSON.parse(line))).toMatchObject([
      { value: 20, corrected: 20 },
      { value: 21, corrected: 21.5 },
    ]);
  });

  test('as SenML has what was sent, and says so', async () => {
    const { text, leftOut } = textOf(exchangeOf(await houseOfLogger()), 'senml');
    expect(text).toContain('"v":21');
    expect(text).not.toContain('21.5');
    expect(leftOut).toContain('as the probes reported them');
  });

  test.each(['csv', 'senml'] as const)('as %s is all repeats when it is imported again', async (as) => {
    const house = await houseOfLogger();
    const { text } = textOf(exchangeOf(house), as);
    expect(await exchangeOf(house).importFrom(bytesOf(text), { ...ORDER, as })).toMatchObject({
      stored: 0,
      repeats: 2,
      conflicts: 0,
    });
  });
});
