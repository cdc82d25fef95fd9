import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { clockByHand } from '../support/hand.ts';
import { databaseFile, type House, packOf, START_MS, startHouse } from '../support/house.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

function idOf({ daemon }: House, name: string): number {
  const id = daemon.world.probeNamed({ device: 'bench-1', name })?.id;
  if (id === undefined) throw new Error(`no probe ${name}`);
  return id;
}

/** Lets minutes pass with root zone and air read every minute. */
async function reportFor(
  house: House,
  minutes: number,
  { rootC, airC = 20 }: { rootC: number; airC?: number },
) {
  for (let minute = 0; minute < minutes; minute++) {
    house.hand.pass(MINUTE_MS);
    await house.report([
      { n: 'root/temperature', u: 'Cel', v: rootC },
      { n: 'air/temperature', u: 'Cel', v: airC },
    ]);
  }
}

/** An hour on the bench, 40 min in ice of which the check takes what it reads at the end, an hour on the bench. */
async function iceBetween(house: House): Promise<void> {
  const { checks } = house.daemon;
  await reportFor(house, 60, { rootC: 24 });
  const { id } = checks.start({ probeId: idOf(house, 'root/temperature'), kind: 'ice' });
  checks.begin(id, { sinceMs: null, untilMs: null });
  await reportFor(house, 40, { rootC: 0 });
  checks.take(id);
  await reportFor(house, 60, { rootC: 24 });
}

const span = { fromMs: START_MS, toMs: START_MS + 4 * HOUR_MS };
const rootOf = ({ daemon }: House) => daemon.queries.exposures('bench-1', span).rootZone;

describe('while a probe is in ice, and half an hour after', () => {
  test('no alarm rests on it, nothing is counted of it, and the record keeps what it reported', async () => {
    const house = startHouse();
    await iceBetween(house);
    // from 21.1 to 26.7 °C is the band: 0 °C would be far below it for 40 min, with an alarm
    expect(house.daemon.queries.alarms().filter(({ rule }) => rule !== 'no-data')).toEqual([]);
    // minutes 1 … 59 before, minute 130 … 160 after: 58 and 30 min
    expect(rootOf(house)).toMatchObject({ hoursBelow: 0, minC: 24, maxC: 24 });
    expect(rootOf(house).coveredHours).toBeCloseTo(88 / 60, 9);
    const raw = house.store.journal.window({
      probeIds: [idOf(house, 'root/temperature')],
      ...span,
      asReported: true,
    });
    expect(raw[0]?.values.filter((value) => value === 0)).toHaveLength(40);
  });

  test('the present has no root zone, and has it again 30 min after', async () => {
    const house = startHouse();
    const { checks, queries } = house.daemon;
    const root = () => queries.now('bench-1').quantities.rootZoneTemperatureC?.value ?? null;
    await reportFor(house, 5, { rootC: 24 });
    const { id } = checks.start({ probeId: idOf(house, 'root/temperature'), kind: 'ice' });
    checks.begin(id, { sinceMs: null, untilMs: null });
    await reportFor(house, 25, { rootC: 0 });
    expect(root()).toBeNull();
    checks.take(id);
    await reportFor(house, 29, { rootC: 23 });
    expect(root()).toBeNull();
    await reportFor(house, 2, { rootC: 23 });
    expect(root()).toBe(23);
  });

  test('hours and charts that were sealed and settled before say the same, after a restart too', async () => {
    const file = databaseFile();
    const hand = clockByHand(START_MS);
    const open = () => startHouse({ hand, store: openStore({ file, nowMs: 0 }) });
    const before = open();
    await iceBetween(before);
    hand.pass(4 * HOUR_MS);
    const seen = ({ daemon, store }: House) => ({
      exposures: daemon.queries.exposures('bench-1', span),
      hours: store.journal.hours(1, span).map(({ min, max }) => [min, max]),
      minutes: Math.min(...store.journal.minutes(1, span).mins),
      series: daemon.queries.series('bench-1', { quantity: 'rootZoneTemperatureC', ...span, points: 4 })
        .points,
    });
    const first = seen(before);
    // the hour from 11 to 12 is away as a whole: 24 °C is all there is in the others
    expect(first.hours).toEqual([
      [24, 24],
      [24, 24],
    ]);
    expect(first.minutes).toBe(24);
    before.daemon.stop();
    before.store.close();
    expect(seen(open())).toEqual(first);
  });

  test('that is said to have begun an hour ago, what was counted since then is counted again without it', async () => {
    const house = startHouse();
    await reportFor(house, 60, { rootC: 24 });
    await reportFor(house, 60, { rootC: 0 });
    house.hand.pass(HOUR_MS);
    expect(rootOf(house)).toMatchObject({ minC: 0 });
    const { checks } = house.daemon;
    const { id } = checks.start({ probeId: idOf(house, 'root/temperature'), kind: 'ice' });
    checks.begin(id, { sinceMs: START_MS + 60.5 * MINUTE_MS, untilMs: null });
    expect(rootOf(house)).toMatchObject({ minC: 24, hoursBelow: 0 });
    // given up, it still was in ice
    checks.abandon(id);
    expect(rootOf(house)).toMatchObject({ minC: 24 });
    expect(checks.answer().done).toMatchObject([{ id, result: null }]);
  });

  test('that was written down afterwards as in ice from 11:00 to 11:20, is counted again from 11:50', async () => {
    const house = startHouse();
    await reportFor(house, 60, { rootC: 24 });
    await reportFor(house, 20, { rootC: 0 });
    await reportFor(house, 60, { rootC: 24 });
    const { checks } = house.daemon;
    const { id } = checks.start({ probeId: idOf(house, 'root/temperature'), kind: 'ice' });
    checks.begin(id, { sinceMs: START_MS + 60.5 * MINUTE_MS, untilMs: START_MS + 80 * MINUTE_MS });
    // minutes 1 … 59 and 110 … 140
    expect(rootOf(house)).toMatchObject({ minC: 24, maxC: 24 });
    expect(rootOf(house).coveredHours).toBeCloseTo(88 / 60, 9);
  });

  test('the thermometer in the housing of a humidity probe is away with it; one beside another is not', async () => {
    const house = startHouse();
    await house.send(
      packOf(
        ['air/humidity', 'air/temperature', 'air/temperature/2', 'root/temperature'].map((n) => ({
          n,
          v: 50,
          u: n === 'air/humidity' ? '%RH' : 'Cel',
        })),
      ),
    );
    const { checks } = house.daemon;
    const away = () =>
      ['air/humidity', 'air/temperature', 'air/temperature/2', 'root/temperature'].filter((name) =>
        house.daemon.world.isAway(idOf(house, name), house.hand.clock.nowMs()),
      );
    const beside = checks.start({
      probeId: idOf(house, 'root/temperature'),
      kind: 'beside',
      besideProbeId: idOf(house, 'air/temperature/2'),
    });
    checks.begin(beside.id, { sinceMs: null, untilMs: null });
    expect(away()).toEqual([]);
    const salts = checks.start({ probeId: idOf(house, 'air/humidity'), kind: 'salts', temperatureC: 20 });
    checks.begin(salts.id, { sinceMs: null, untilMs: null });
    expect(away()).toEqual(['air/humidity', 'air/temperature']);
  });
});
