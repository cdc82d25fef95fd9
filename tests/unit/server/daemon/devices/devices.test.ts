import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { systemSecrets as secrets } from '../../../../../server/adapters/system/secrets.ts';
import { createDeliveries, MAX_COUNTED } from '../../../../../server/daemon/devices/deliveries.ts';
import {
  createPresence,
  MAX_DEVICES,
  MAX_TURNED_AWAY,
} from '../../../../../server/daemon/devices/presence.ts';
import { MAX_LISTED } from '../../../../../server/daemon/devices/rows.ts';
import { createDeviceService, MAX_OWN_LOGINS } from '../../../../../server/daemon/devices/service.ts';
import { clockByHand, readableLog } from '../../support/hand.ts';
import { airRecord, databaseFile, startHouse } from '../../support/house.ts';

const MINUTE_MS = 60_000;
const BROKER = { embedded: true, address: 'mqtt://127.0.0.1:1883', secureAddress: null, user: null };
const callerOf = (clientId: string, device: string | null = null) => ({
  clientId,
  device,
  address: '192.0.2.7',
});

function serviceOn(house = startHouse()) {
  const changes: string[] = [];
  const service = createDeviceService({
    ...house.daemon.devices,
    world: house.daemon.world,
    store: house.store,
    clock: house.hand.clock,
    secrets,
    record: house.store.access,
    broker: BROKER,
    onChange: () => void changes.push('changed'),
  });
  return { house, service, changes };
}
function presenceByHand() {
  const hand = clockByHand(0);
  const log = readableLog();
  return { hand, log, presence: createPresence({ clock: hand.clock, log }) };
}

describe('logins of devices', () => {
  test('each change counts at once: 4 changes are reported 4 times, one that changes nothing is not', () => {
    const { service, changes } = serviceOn();
    service.add('bench-1');
    service.rotate('bench-1');
    service.setState('bench-1', 'disabled');
    service.setState('bench-1', 'disabled');
    service.setState('bench-1', 'enabled');
    expect(changes).toHaveLength(4);
  });

  test('come back from the file as they went, with a fingerprint and not the secret', () => {
    const file = databaseFile();
    const first = openStore({ file, nowMs: 0 });
    const { service } = serviceOn(startHouse({ store: first }));
    const { secret } = service.add('bench-1');
    service.setState('bench-1', 'retired');
    const before = first.access.devices();
    first.close();
    const again = openStore({ file, nowMs: 0 });
    expect(again.access.devices()).toEqual(before);
    expect(before).toMatchObject([
      { name: 'bench-1', state: 'retired', fingerprint: secrets.fingerprint(secret) },
    ]);
    expect(JSON.stringify(before)).not.toContain(secret);
    again.close();
  });

  test.each([
    ['one that has a secret', 'bench-1', 'make a new secret'],
    ['one that is retired', 'bench-2', 'enable it again'],
    ['the shared login', 'devices', 'sensors share'],
    ['the daemon’s own login', 'strikewell.house', 'sensors share'],
    ['a device of the demo', 'demo-mist-bench', 'of the demo'],
  ])('are refused for the name of %s', (_of, name, words) => {
    const { service, house } = serviceOn();
    house.store.access.setDeviceLogin({ name: 'devices', fingerprint: 'f', createdMs: 0 });
    service.add('bench-1');
    service.add('bench-2');
    service.setState('bench-2', 'retired');
    expect(() => service.add(name)).toThrow(words);
  });

  test('of a device that has none, no secret is made again and nothing disabled', () => {
    const { service } = serviceOn();
    expect(() => service.rotate('sill')).toThrow('has no login of its own');
    expect(() => service.setState('sill', 'disabled')).toThrow('has no login of its own');
  });

  test(`are ${MAX_OWN_LOGINS} at most`, () => {
    const { service, house } = serviceOn();
    house.store.transaction(() => {
      for (let n = 0; n < MAX_OWN_LOGINS; n++)
        house.store.access.addDevice({ name: `d${n}`, fingerprint: `f${n}`, createdMs: 0 });
    });
    expect(() => service.add('one-more')).toThrow(`${MAX_OWN_LOGINS} devices already`);
    expect(service.answer().devices).toHaveLength(MAX_LISTED);
  });
});

describe('what is known of a device', () => {
  test('comes from its packs: cadence 1 min, 1 repeat, battery, and 5 readings missing of 26', async () => {
    const { service, house } = serviceOn();
    for (let minute = 0; minute <= 25; minute++) {
      if (minute < 10 || minute >= 15) {
        const battery = { n: 'battery/level', u: '%EL', v: 60 };
        await house.report([airRecord(20 + minute / 10), battery]);
      }
      house.hand.pass(MINUTE_MS);
    }
    await house.report([{ ...airRecord(22.5), t: -60 }]);
    expect(service.answer().devices).toMatchObject([
      {
        device: 'bench-1',
        login: null,
        probes: 2,
        places: ['bench-1'],
        batteryPct: 60,
        cadenceS: 60,
        packs: 22,
        readings: 43,
        repeats: 1,
        conflicts: 0,
        refused: 0,
        // by hand: 21 readings from minute 0 to 25, five are missing
        lost: { missing: 5, expected: 26, everyS: 60, longestGapS: 360 },
      },
    ]);
  });

  test('after a restart is when its newest reading was, until it reports again', async () => {
    const file = databaseFile();
    const { house } = serviceOn(startHouse({ store: openStore({ file, nowMs: 0 }) }));
    await house.report([airRecord(21)]);
    const receivedAt = new Date(house.hand.clock.nowMs()).toISOString();
    house.daemon.stop();
    house.store.close();
    const hand = clockByHand(house.hand.clock.nowMs() + 5 * MINUTE_MS);
    const { service } = serviceOn(startHouse({ store: openStore({ file, nowMs: 0 }), hand }));
    expect(service.answer().devices).toMatchObject([{ device: 'bench-1', seenAt: receivedAt, packs: 0 }]);
  });
});

describe('who comes and goes', () => {
  test('two clients that publish by turns are logged once in 10 minutes, and again after', () => {
    const { hand, log, presence } = presenceByHand();
    const [one, two] = [callerOf('one'), callerOf('two')];
    const turns = (n: number) => {
      for (let turn = 0; turn < n; turn++) {
        presence.gateway.spoke(one, 'bench-1');
        presence.gateway.spoke(two, 'bench-1');
      }
    };
    turns(5);
    expect(log.lines.map(({ message }) => message)).toEqual(['a second client seems to speak as a device']);
    expect(presence.of('bench-1').second).toEqual({
      kind: 'alternating',
      times: 8,
      withinMin: 10,
      addresses: ['192.0.2.7'],
    });
    hand.pass(11 * MINUTE_MS);
    expect(presence.of('bench-1').second).toBeNull();
    turns(1);
    expect(log.lines).toHaveLength(2);
  });

  test('a client that publishes for 2 devices, or one that comes back 20 times, is no second client', () => {
    const { presence } = presenceByHand();
    const gateway = callerOf('gateway');
    for (let n = 0; n < 20; n++) {
      presence.gateway.spoke(gateway, 'bench-1');
      presence.gateway.spoke(gateway, 'bench-2');
      const again = callerOf('bench-3', 'bench-3');
      presence.gateway.came(again);
      presence.gateway.spoke(again, 'bench-3');
      presence.gateway.left(again);
    }
    expect(['bench-1', 'bench-2', 'bench-3'].map((device) => presence.of(device).second)).toEqual([
      null,
      null,
      null,
    ]);
    expect(presence.of('bench-3').connections).toEqual([]);
  });

  test(`of ${MAX_DEVICES + 10} devices ${MAX_DEVICES} are remembered, those connected first of all`, () => {
    const { presence } = presenceByHand();
    presence.gateway.came(callerOf('stays', 'stays'));
    for (let n = 0; n < MAX_DEVICES + 9; n++) {
      const caller = callerOf(`c${n}`);
      presence.gateway.spoke(caller, `d${n}`);
      presence.gateway.left(caller);
    }
    expect(presence.names()).toHaveLength(MAX_DEVICES);
    expect(presence.names()).toContain('stays');
  });

  test(`of 200 turned away ${MAX_TURNED_AWAY} are listed, the newest first, and all are counted`, () => {
    const { presence } = presenceByHand();
    for (let n = 0; n < 200; n++) {
      const caller = callerOf(`c${n}`.padEnd(1_000, 'x'));
      presence.gateway.turnedAway({ why: 'bad-login', caller, name: `n${n}`, topic: null });
    }
    const { total, byWhy, newest } = presence.turnedAway();
    expect([total, byWhy, newest.length]).toEqual([200, { 'bad-login': 200 }, MAX_TURNED_AWAY]);
    expect(newest[0]).toMatchObject({ name: 'n199', clientId: 'c199'.padEnd(128, 'x') });
  });
});

test(`of ${MAX_COUNTED + 10} devices that send, packs of the last ${MAX_COUNTED} are counted; 5 Wills are passed on`, () => {
  const went: string[] = [];
  const deliveries = createDeliveries((device) => void went.push(device));
  const pack = { arrivedAtMs: 0, newestMs: 0, readings: 1, stored: 1, conflicts: 0 };
  const all = Array.from({ length: MAX_COUNTED + 10 }, (_, n) => ({ device: `d${n}`, ...pack }));
  const status = (state: string, retainedCopy: boolean) => ({
    topic: 'strikewell/1/d1/status',
    arrivedAtMs: 0,
    retainedCopy,
    payload: new TextEncoder().encode(JSON.stringify({ state })),
  });
  const statuses = [...Array.from({ length: 5 }, () => status('offline', false)), status('offline', true)];
  deliveries.took({ deliveries: all, statuses: [...statuses, status('online', false)] });
  expect(deliveries.tally('d9')).toBeNull();
  expect(deliveries.tally('d10')).toMatchObject({ packs: 1 });
  expect(went).toEqual(Array(5).fill('d1'));
  expect(deliveries.status('d1')).toMatchObject({ state: 'online', retainedCopy: false });
});
