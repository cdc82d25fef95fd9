import { describe, expect, test } from 'vitest';
import { startHouse } from '../support/house.ts';
import { GOOD, recordsOf, ruledHouse } from '../support/ruled.ts';

const MINUTE_MS = 60_000;

describe('what a place sets otherwise', () => {
  test('a rule that is off raises nothing, and an active one returns with its next reading', async () => {
    const { house, hold, deviation } = ruledHouse();
    await hold({ 'root/temperature': 31 }, 5 * MINUTE_MS);
    expect(deviation()).toEqual(['root-too-hot']);
    house.daemon.orders.patchPlace('bench-1', { settings: { alarms: { 'root-too-hot': { on: false } } } });
    await hold({ 'root/temperature': 31 }, 5 * MINUTE_MS);
    expect(deviation()).toEqual([]);
  });

  test('latching keeps a returned alarm until it is seen and reset', async () => {
    const { house, hold, alarm } = ruledHouse();
    await hold(GOOD, MINUTE_MS);
    const latching = { 'root-too-hot': { latching: true } };
    house.daemon.orders.patchPlace('bench-1', { settings: { alarms: latching } });
    await hold({ 'root/temperature': 31 }, 5 * MINUTE_MS);
    await hold(GOOD, 5 * MINUTE_MS);
    expect(alarm('root-too-hot')?.state).toBe('latched-unacknowledged');
    house.daemon.orders.acknowledge('bench-1.root-too-hot');
    expect(alarm('root-too-hot')?.state).toBe('latched-acknowledged');
    house.daemon.orders.reset('bench-1.root-too-hot');
    expect(alarm('root-too-hot')?.state).toBe('normal');
  });
});

describe('an alarm that was seen and is still active', () => {
  test('asks again after 15 min when it is of high priority', async () => {
    const { house, hold, alarm } = ruledHouse();
    await hold({ 'air/temperature': 30 }, 3 * MINUTE_MS);
    house.daemon.orders.acknowledge('bench-1.air-over-ceiling', { by: 'Robin' });
    expect(alarm('air-over-ceiling')).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'Robin' });
    await hold({ 'air/temperature': 30 }, 14 * MINUTE_MS);
    expect(alarm('air-over-ceiling')?.state).toBe('acknowledged');
    await hold({ 'air/temperature': 30 }, 2 * MINUTE_MS);
    expect(alarm('air-over-ceiling')?.state).toBe('unacknowledged');
  });

  test('out of service it is tracked and announced to nobody, and asks again when it is back in service', async () => {
    const { house, hold, alarm } = ruledHouse();
    await hold({ 'air/temperature': 30 }, 3 * MINUTE_MS);
    const id = 'bench-1.air-over-ceiling';
    house.daemon.orders.takeOutOfService(id, { reason: 'fan is being mended' });
    await hold({ 'air/temperature': 20 }, 3 * MINUTE_MS);
    await hold({ 'air/temperature': 30 }, 3 * MINUTE_MS);
    expect(alarm('air-over-ceiling')).toMatchObject({
      state: 'unacknowledged',
      suppression: 'out-of-service',
      suppressedReason: 'fan is being mended',
    });
    house.daemon.orders.putInService(id);
    expect(alarm('air-over-ceiling')).toMatchObject({ state: 'unacknowledged', suppression: 'none' });
  });
});

describe('silence', () => {
  test('of 3 places at once is one message; readings that are back are worth a look', async () => {
    const { house } = ruledHouse();
    const sendAll = async () => {
      for (const device of ['bench-1', 'bench-2', 'bench-3']) await house.report(recordsOf(GOOD), device);
    };
    for (let k = 0; k < 5; k++) {
      await sendAll();
      house.hand.pass(MINUTE_MS);
    }
    house.hand.pass(10 * MINUTE_MS);
    const silent = house.daemon.queries.alarms().filter(({ rule }) => rule === 'no-data');
    expect(silent.map(({ placeId, suppression }) => `${placeId} ${suppression}`).toSorted()).toEqual([
      'bench-1 none',
      'bench-2 by-design',
      'bench-3 by-design',
    ]);
    await sendAll();
    house.hand.pass(2_000);
    const back = house.daemon.queries.alarms().filter(({ rule }) => rule === 'power-back');
    expect(back.map(({ placeId, state }) => `${placeId} ${state}`).toSorted()).toEqual([
      'bench-1 returned-unacknowledged',
      'bench-2 returned-unacknowledged',
      'bench-3 returned-unacknowledged',
    ]);
  });
});

describe('a daemon that was down', () => {
  test('for 3 h says so once it starts again, and for 9 min does not', async () => {
    const { house, hold } = ruledHouse();
    await hold(GOOD, 2 * MINUTE_MS);
    house.daemon.stop();
    house.hand.pass(9 * MINUTE_MS);
    const again = startHouse({ ...house, keep: house.keep });
    const said = () => again.daemon.queries.alarms().filter(({ rule }) => rule === 'watch-was-down');
    expect(said()).toEqual([]);
    again.daemon.stop();
    const downMs = house.hand.clock.nowMs();
    house.hand.pass(3 * 60 * MINUTE_MS);
    const later = startHouse({ ...house, keep: house.keep });
    expect(later.daemon.queries.alarms().filter(({ rule }) => rule === 'watch-was-down')).toMatchObject([
      {
        placeId: null,
        state: 'returned-unacknowledged',
        id: 'house.watch-was-down',
        facts: { kind: 'was-blind', fromMs: downMs, toMs: downMs + 3 * 60 * MINUTE_MS },
      },
    ]);
  });
});
