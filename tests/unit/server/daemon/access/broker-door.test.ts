import { expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { systemSecrets as secrets } from '../../../../../server/adapters/system/secrets.ts';
import { createBrokerDoor } from '../../../../../server/daemon/access/broker-door.ts';
import { Fault } from '../../../../../shared/faults.ts';
import { databaseFile } from '../../support/house.ts';

const owner = { name: 'owner', role: 'own', password: 'kept', createdMs: 0 } as const;
const loginOf = (secret: string) => ({
  name: 'devices',
  fingerprint: secrets.fingerprint(secret),
  createdMs: 0,
});

test('without an owner anybody may speak; with one, who came without a name no longer may', () => {
  const { access: record } = openStore({ file: databaseFile(), nowMs: 0 });
  const { door } = createBrokerDoor({ record, secrets });
  expect([door.open(), door.holds(null)]).toEqual([true, true]);
  record.addAccount(owner);
  expect([door.open(), door.holds(null)]).toEqual([false, false]);
});

test('of 4 logins the one whose name and secret fit is let in, until a new secret is made', () => {
  const { access: record } = openStore({ file: databaseFile(), nowMs: 0 });
  record.addAccount(owner);
  record.setDeviceLogin(loginOf('secret 1'));
  const { door } = createBrokerDoor({ record, secrets });
  const ticket = door.ticketOf({ name: 'devices', secret: 'secret 1' });
  const others = [
    { name: 'devices', secret: 'secret 2' },
    { name: 'Devices', secret: 'secret 1' },
    { name: 'devices', secret: '' },
  ];
  expect(others.map((login) => door.ticketOf(login))).toEqual([null, null, null]);
  expect(door.holds(ticket)).toBe(true);
  record.setDeviceLogin(loginOf('secret 2'));
  expect(door.holds(ticket)).toBe(false);
});

test('the daemon’s own devices log in with a secret that differs from start to start', () => {
  const { access: record } = openStore({ file: databaseFile(), nowMs: 0 });
  record.addAccount(owner);
  const [one, two] = [createBrokerDoor({ record, secrets }), createBrokerDoor({ record, secrets })];
  const { username: name, password: secret } = one.houseLogin;
  expect(one.door.holds(one.door.ticketOf({ name, secret }))).toBe(true);
  expect(two.door.ticketOf({ name, secret })).toBeNull();
});

test('a record that cannot be read opens to nobody, and stops nothing', () => {
  const { access } = openStore({ file: databaseFile(), nowMs: 0 });
  const broken = () => {
    throw new Fault({ code: 'store-failed', message: 'disk I/O error' });
  };
  const { door } = createBrokerDoor({ record: { ...access, owned: broken, deviceLogin: broken }, secrets });
  expect(door.open()).toBe(false);
  expect(door.holds(null)).toBe(false);
  expect(door.ticketOf({ name: 'devices', secret: 'secret 1' })).toBeNull();
});
