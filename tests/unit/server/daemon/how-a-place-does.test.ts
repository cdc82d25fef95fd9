import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { Carrier } from '../../../../server/ports.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../support/house.ts';

/** How a place does follows from what is measured and from the last 24 h, and never from who has acknowledged what. */
const MINUTE_MS = 60_000;
/** Just after night has begun, and some hours before it ends. */
const EVENING_MS = Date.UTC(2026, 5, 1, 21);
const LATE_MS = Date.UTC(2026, 5, 1, 23, 30);
const CEILING = 'bench-1.air-over-ceiling';

const rootRecord = (v: number) => ({ n: 'root/temperature', u: 'Cel', v });

function watchedHouse(startMs = START_MS) {
  const hand = clockByHand(startMs);
  const store = openStore({ file: databaseFile(), nowMs: startMs });
  const said: { type: string; priority: string; atMs: number }[] = [];
  const carrier: Carrier = {
    send(_method, { body }) {
      const { type, data } = JSON.parse(body);
      said.push({ type, priority: data.alarm?.priority, atMs: hand.clock.nowMs() });
      return Promise.resolve({ delivered: true });
    },
  };
  const house = startHouse({ store, hand, carrier, webhookUrl: null });
  const robin = house.daemon.people.add({ name: 'Robin', quiet: { from: '21:00', to: '07:00' } });
  house.daemon.people.addContactMethod(robin.id, { kind: 'mail', address: 'robin@bench.example' });
  let reported = 0;
  const hold = async (air: number, root: number, minutes: number, everyMin = 1) => {
    for (let passed = 0; passed < minutes; passed += everyMin) {
      // no probe reads the same for hours
      reported += 1;
      const swing = 0.1 * Math.sin(reported);
      await house.report([airRecord(air + swing), rootRecord(root + swing)]);
      // the bands it has are right
      if (reported === 1) house.daemon.orders.patchPlace('bench-1', { settings: { questionsOpen: false } });
      hand.pass(everyMin * MINUTE_MS);
      await new Promise<void>((resolve) => setImmediate(resolve));
    }
  };
  const now = () => house.daemon.queries.now('bench-1');
  const alarm = (id: string) => house.daemon.queries.alarms().find((one) => one.id === id);
  return { house, hold, now, alarm, said, hand };
}

describe('a place that cooks', () => {
  test('acknowledged, still needs somebody, with the minutes left', async () => {
    const { house, hold, now } = watchedHouse();
    await hold(24, 25, 30);
    expect(now()).toMatchObject({ state: 'ok', minutesLeft: null, lately: [] });
    await hold(32.3, 23, 5);
    house.daemon.orders.acknowledge(CEILING);
    expect(now().state).toBe('act');
    // 6 h · 2^(−5.6/2.5) = 76 min, less what 5 min have done
    expect(now().minutesLeft).toBeGreaterThan(65);
    expect(now().minutesLeft).toBeLessThan(76.3);
  });

  test('three minutes after 13 min at 33 °C, is to be watched, and says why until it is a day ago', async () => {
    const { hold, now } = watchedHouse();
    await hold(24, 25, 30);
    await hold(33, 25, 13);
    await hold(24, 25, 3);
    expect(now().state).toBe('watch');
    expect(now().lately[0]).toMatchObject({ kind: 'air-over-ceiling', peak: expect.closeTo(33, 0) });
    await hold(24, 25, 25 * 60, 10);
    expect(now()).toMatchObject({ state: 'ok', lately: [] });
  });
});

describe('a root zone that cools', () => {
  test('4.9 h below its band and back, is not “well” before a day has passed', async () => {
    const { hold, now } = watchedHouse();
    await hold(20, 23, 30);
    await hold(20, 17, 4.9 * 60, 7);
    await hold(20, 23, 10);
    expect(now().state).toBe('watch');
    expect(now().lately[0]).toMatchObject({ kind: 'root-zone-below-band', peak: expect.closeTo(17, 0) });
  });

  test('by a dead mat at night, wakes somebody in quiet hours once the night would cost a quarter of a day', async () => {
    const { hold, alarm, said } = watchedHouse(EVENING_MS);
    await hold(15, 23, 30);
    await hold(15, 12, 3 * 60, 5);
    expect(alarm('bench-1.root-below-band')).toMatchObject({ priority: 'high', state: 'unacknowledged' });
    expect(said.some(({ priority }) => priority === 'high')).toBe(true);
  });

  test('so far that it is high as it is raised, counts as high, and its history says why', async () => {
    const { house, hold, alarm, hand } = watchedHouse(EVENING_MS);
    await hold(15, 23, 30);
    await hold(15, 8, 125, 5);
    const ID = 'bench-1.root-below-band';
    expect(alarm(ID)).toMatchObject({ priority: 'high', state: 'unacknowledged' });
    const span = { fromMs: EVENING_MS, toMs: hand.clock.nowMs() };
    expect(house.daemon.queries.alarmQuality(span).whole.byPriority).toEqual({ high: 1, medium: 0, low: 0 });
    const [why, raised] = house.store.alarms.events(ID);
    expect([raised?.transition, why?.transition]).toEqual(['raised', 'priority-raised']);
    expect(why).toMatchObject({ atMs: raised?.atMs, note: expect.stringMatching(/./) });
  });

  test('a little, late in the night, wakes nobody', async () => {
    const { hold, alarm, said } = watchedHouse(LATE_MS);
    await hold(15, 23, 30);
    await hold(15, 20, 3 * 60, 5);
    expect(alarm('bench-1.root-below-band')).toMatchObject({ priority: 'medium', state: 'unacknowledged' });
    expect(said).toEqual([]);
  });
});

describe('a place that cannot be seen', () => {
  test('does well only once ten minutes are on record', async () => {
    const { hold, now } = watchedHouse();
    await hold(24, 25, 1);
    expect(now()).toMatchObject({ state: 'watch', harm: null });
    await hold(24, 25, 12);
    expect(now()).toMatchObject({ state: 'ok', harm: 0 });
  });

  test('without its air probe needs somebody, and never says that it is well', async () => {
    const { house, hold, now, hand } = watchedHouse();
    await hold(24, 25, 30);
    for (let passed = 0; passed < 20; passed += 1) {
      await house.report([rootRecord(23)]);
      hand.pass(MINUTE_MS);
    }
    expect(now()).toMatchObject({ state: 'act', blindTo: ['heat'] });
  });

  test('that never had an air probe is to be watched: heat is not monitored', async () => {
    const { house, now, hand } = watchedHouse();
    for (let passed = 0; passed < 20; passed += 1) {
      await house.report([rootRecord(23)]);
      hand.pass(MINUTE_MS);
    }
    expect(now()).toMatchObject({ state: 'watch', blindTo: ['heat-unmeasured'] });
  });

  test('an hour without readings is remembered', async () => {
    const { hold, now, hand } = watchedHouse();
    await hold(24, 25, 30);
    for (let passed = 0; passed < 60; passed += 1) hand.pass(MINUTE_MS);
    await hold(24, 25, 5);
    expect(now().state).not.toBe('ok');
    expect(now().lately.map(({ kind }) => kind)).toEqual(['no-data']);
  });
});
