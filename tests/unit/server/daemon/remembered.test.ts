import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { Carrier } from '../../../../server/ports.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../support/house.ts';

/** What harmed a place is remembered until a morning sheet has shown it, for 24 h where nobody gets one. */
const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

/** Since 10:00 on a Monday; the morning sheet is written at 07:00. */
function rememberingHouse({ reader = true } = {}) {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const sheets: { atMs: number; subject: string; message: string }[] = [];
  let isDown = false;
  const carrier: Carrier = {
    send(_method, { body }) {
      const { type, data } = JSON.parse(body);
      if (isDown) return Promise.resolve({ delivered: false, error: 'no answer', forGood: true });
      const { subject, message } = data;
      if (type === 'sheet.morning') sheets.push({ atMs: hand.clock.nowMs(), subject, message });
      return Promise.resolve({ delivered: true });
    },
  };
  // days pass: what comes every second comes every minute
  const timers: typeof hand.timers = {
    ...hand.timers,
    every: (ms, run) =>
      hand.timers.every(ms, () => {
        if (ms !== SECOND_MS || hand.clock.nowMs() % MINUTE_MS < SECOND_MS) run();
      }),
  };
  const start = () => startHouse({ store, hand: { ...hand, timers }, carrier, webhookUrl: null });
  let house = start();
  if (reader) {
    const robin = house.daemon.people.add({ name: 'Robin', quiet: null });
    house.daemon.people.addContactMethod(robin.id, { kind: 'mail', address: 'robin@bench.example' });
  }
  let reported = 0;
  const hold = async (air: number, minutes: number, everyMin = 10) => {
    for (let passed = 0; passed < minutes; passed += everyMin) {
      reported += 1;
      await house.report([airRecord(air + 0.1 * Math.sin(reported))]);
      if (reported === 1) house.daemon.orders.patchPlace('bench-1', { settings: { questionsOpen: false } });
      hand.pass(everyMin * MINUTE_MS);
      await new Promise<void>((resolve) => setImmediate(resolve));
    }
  };
  const hoursTo = (day: number, hour: number) =>
    (Date.UTC(2026, 5, day, hour) - hand.clock.nowMs()) / MINUTE_MS;
  return {
    hold,
    /** keeps the air as it should be until an hour of a day in June */
    well: (day: number, hour: number) => hold(22, hoursTo(day, hour)),
    now: () => house.daemon.queries.now('bench-1'),
    sheets,
    mail(down: boolean) {
      isDown = down;
    },
    restart() {
      house.daemon.stop();
      house = start();
    },
  };
}

/** 13 min at 33 °C under a ceiling of 26.7. */
async function cooked(house: ReturnType<typeof rememberingHouse>) {
  await house.hold(22, 30, 1);
  await house.hold(33, 13, 1);
  await house.hold(22, 17, 1);
}

describe('harm', () => {
  test('ends being remembered once a morning sheet has shown it, though it is no day ago', async () => {
    const house = rememberingHouse();
    await cooked(house);
    await house.well(2, 6);
    expect(house.now()).toMatchObject({ state: 'watch', lately: [{ kind: 'air-over-ceiling' }] });
    await house.well(2, 8);
    expect(house.sheets).toEqual([
      {
        atMs: Date.UTC(2026, 5, 2, 7),
        subject: 'Morning sheet: 1 place to look at',
        message: expect.stringMatching(
          /^bench-1: Air was 6\.\d °C over its ceiling for 13 min from 10:\d\d on Mon,? 1 Jun\.$/,
        ),
      },
    ]);
    expect(house.now()).toMatchObject({ state: 'ok', lately: [] });
    // what it did counts for the minutes left all the same
    expect(house.now().harm).toBeGreaterThan(0.05);
  });

  test('of more than a day ago is remembered while no sheet that showed it arrived, and after a restart', async () => {
    const house = rememberingHouse();
    await cooked(house);
    house.mail(true);
    await house.well(2, 14);
    expect(house.now()).toMatchObject({
      state: 'watch',
      harm: 0,
      lately: [{ kind: 'air-over-ceiling', from: expect.stringMatching(/^2026-06-01T10:29:/) }],
    });
    house.restart();
    house.mail(false);
    expect(house.now()).toMatchObject({ state: 'watch', lately: [{ kind: 'air-over-ceiling' }] });
    await house.well(3, 8);
    expect(house.sheets.map(({ message }) => message)).toEqual([
      expect.stringMatching(/^bench-1: Air was 6\.\d °C over its ceiling/),
    ]);
    expect(house.now()).toMatchObject({ state: 'ok', lately: [] });
  });

  test('is forgotten after 72 h, when no sheet arrives at all', async () => {
    const house = rememberingHouse();
    await cooked(house);
    house.mail(true);
    await house.well(4, 10);
    expect(house.now().lately).toHaveLength(1);
    await house.well(4, 12);
    expect(house.now()).toMatchObject({ lately: [] });
  });

  test('is remembered for 24 h where nobody gets a morning sheet', async () => {
    const house = rememberingHouse({ reader: false });
    await cooked(house);
    await house.well(2, 10);
    expect(house.now()).toMatchObject({ state: 'watch', lately: [{ kind: 'air-over-ceiling' }] });
    await house.well(2, 11);
    expect(house.now()).toMatchObject({ state: 'ok', lately: [] });
  });
});

test('an hour without readings is on the sheet, and remembered until then', async () => {
  const house = rememberingHouse();
  await house.hold(22, 60);
  await house.hold(22, 60, 60);
  await house.well(2, 6);
  expect(house.now()).toMatchObject({ state: 'watch', lately: [{ kind: 'no-data' }] });
  await house.well(2, 8);
  expect(house.sheets.map(({ message }) => message)).toEqual([
    expect.stringMatching(/^bench-1: No readings for 1 h from 11:00 on Mon,? 1 Jun\.$/),
  ]);
  expect(house.now()).toMatchObject({ state: 'ok', lately: [] });
});

test('harm that goes on as the sheet is written is remembered afterwards', async () => {
  const house = rememberingHouse();
  await house.well(2, 4);
  await house.hold(6, (4 * HOUR_MS) / MINUTE_MS);
  await house.hold(22, 60);
  expect(house.sheets.map(({ message }) => message).join()).toMatch(/has been .* for \d h/);
  expect(house.now().lately).toMatchObject([{ kind: 'air-far-too-cold' }]);
});
