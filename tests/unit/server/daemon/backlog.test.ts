import { expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { databaseFile, type House, packOf, START_MS, startHouse } from '../support/house.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const PACKS = 72;
/** Readings of a pack: 6 h at one in 10 s are 2,160, in 72 packs 30 each; a pack each 4 s takes 4 min 48 s. */
const PACK_SPAN_MS = (6 * HOUR_MS) / PACKS;
const EVERY_MS = 4_000;

const silences = ({ daemon }: House) =>
  daemon.queries
    .alarms()
    .filter(({ rule, raisedAtMs }) => /^(no-data|probe-silent)$/.test(rule) && raisedAtMs !== null);

/** One pack of what a device kept, 10 s apart, the first at a time in ms. */
async function sendKept(house: House, fromMs: number, device = 'bench-1', quantity = 'air/temperature') {
  const records = Array.from({ length: 30 }, (_, k) => ({
    n: quantity,
    u: 'Cel',
    v: 20 + (k % 10) / 10,
    t: (fromMs + k * 10_000) / 1000,
  }));
  await house.send(packOf(records, { device, arrivedAtMs: house.hand.clock.nowMs() }));
}

/** The backlog of the 6 h before START_MS, oldest first, so many packs of it. */
async function sendBacklog(
  house: House,
  packs = PACKS,
  meanwhile: () => Promise<void> = async () => undefined,
) {
  for (let k = 0; k < packs; k += 1) {
    await sendKept(house, START_MS - 6 * HOUR_MS + k * PACK_SPAN_MS);
    await meanwhile();
    house.hand.pass(EVERY_MS);
  }
}

async function live(house: House, device = 'bench-1') {
  await house.report([{ n: 'air/temperature', u: 'Cel', v: 20 }], device);
}

const now = (house: House) => house.daemon.queries.now('bench-1');

test('6 h of backlog, oldest first over 5 min, raise no silence; the page says that they are catching up; then all is live', async () => {
  const house = startHouse();
  let behind = 0;
  await sendBacklog(house, PACKS, async () => {
    if (now(house).catchingUp) behind += 1;
    expect(silences(house)).toEqual([]);
  });
  expect(behind).toBe(PACKS);
  for (let k = 0; k < 60; k += 1) {
    await live(house);
    house.hand.pass(10_000);
    expect(silences(house)).toEqual([]);
  }
  expect(now(house)).not.toHaveProperty('catchingUp');
  expect(now(house).quantities.airTemperatureC?.state).not.toBe('stale');
});

test('a device that ends in the middle of its backlog is silent 5 min after the last of it, and no later', async () => {
  const house = startHouse();
  await sendBacklog(house, 40);
  house.hand.pass(5 * MINUTE_MS - EVERY_MS);
  expect(silences(house)).toEqual([]);
  house.hand.pass(2_000);
  expect(silences(house)).toMatchObject([
    { placeId: 'bench-1', state: 'unacknowledged', facts: { wholePlace: true } },
  ]);
});

test('a device whose clock is 6 h behind is silent within 6 min: what it sends says nothing of now', async () => {
  const house = startHouse();
  for (let k = 0; k < 36; k += 1) {
    const atMs = house.hand.clock.nowMs() - 6 * HOUR_MS;
    await sendKept(house, atMs);
    house.hand.pass(10_000);
  }
  expect(silences(house)).toHaveLength(1);
});

test('a silence that was raised before goes on while the backlog comes, and is over with the first live reading', async () => {
  const house = startHouse();
  await house.send(
    packOf(
      [3, 2, 1].map((minutes) => ({ n: 'air/temperature', u: 'Cel', v: 20, t: -6 * 3600 - 60 * minutes })),
      { arrivedAtMs: START_MS },
    ),
  );
  house.hand.pass(6 * MINUTE_MS);
  expect(silences(house)).toMatchObject([{ state: 'unacknowledged' }]);
  await sendBacklog(house);
  expect(silences(house)).toMatchObject([{ state: 'unacknowledged', returnedAtMs: null }]);
  await live(house);
  house.hand.pass(1_000);
  expect(silences(house)).toMatchObject([{ state: 'returned-unacknowledged' }]);
});

test('beside a device that is live, one that catches up raises nothing, and one that is dead raises its silence', async () => {
  const house = startHouse();
  const values = [
    { pointer: '', probe: 'root/temperature', unit: 'Cel', scale: 1, offset: 0, optional: false },
  ];
  const device = { kind: 'named', name: 'beside' } as const;
  await live(house);
  house.daemon.foreignMessages.addMapping({
    filter: 'root',
    device,
    placeId: 'bench-1',
    time: { kind: 'arrival' },
    values,
  });
  const beside = () => {
    const payload = new TextEncoder().encode('22');
    return house.send({ topic: 'root', payload, arrivedAtMs: house.hand.clock.nowMs(), retainedCopy: false });
  };
  await beside();
  house.hand.pass(4 * MINUTE_MS);
  await beside();
  // bench-1 has a hole of 6 h behind it by now, in which beside went on
  house.hand.pass(MINUTE_MS - 1_000);
  await sendBacklog(house, 20, beside);
  expect(silences(house)).toEqual([]);
  house.hand.pass(4 * MINUTE_MS);
  await beside();
  house.hand.pass(2 * MINUTE_MS);
  expect(silences(house)).toMatchObject([
    { facts: { wholePlace: false, silent: [{ probe: 'air/temperature' }] } },
  ]);
});

test('a start after 6 h, with a backlog that the broker held, raises no silence while it comes', async () => {
  const file = databaseFile();
  const open = () => openStore({ file, nowMs: START_MS });
  const before = startHouse({ store: open() });
  await before.send(
    packOf([{ n: 'air/temperature', u: 'Cel', v: 20, t: -6 * 3600 - 60 }], { arrivedAtMs: START_MS }),
  );
  before.daemon.stop();
  before.store.close();
  const house = startHouse({ store: open() });
  // the broker is joined late: the grace of the start is nearly over
  house.hand.pass(4 * MINUTE_MS);
  await sendBacklog(house, PACKS, async () => expect(silences(house)).toEqual([]));
  await live(house);
  house.hand.pass(1_000);
  expect(silences(house)).toEqual([]);
});

test('a message that fails amid the backlog does not make its device silent', async () => {
  const inner = openStore({ file: databaseFile(), nowMs: START_MS });
  const append: typeof inner.journal.append = (reading) => {
    if (reading.value === 66.5) throw new RangeError('poison');
    return inner.journal.append(reading);
  };
  const house = startHouse({ store: { ...inner, journal: { ...inner.journal, append } } });
  let k = 0;
  await sendBacklog(house, PACKS, async () => {
    k += 1;
    if (k % 10 === 0) await house.report([{ n: 'air/temperature', u: 'Cel', v: 66.5 }], 'bench-2');
    house.hand.pass(1);
    expect(silences(house)).toEqual([]);
  });
  expect(house.daemon.queries.refused().byCode).toEqual({ 'not-storable': 7 });
});
