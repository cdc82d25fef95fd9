import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { systemSecrets as secrets } from '../../../../../server/adapters/system/secrets.ts';
import { createBrokerDoor } from '../../../../../server/daemon/access/broker-gateway.ts';
import type { BrokerDoor, Pass } from '../../../../../server/ports.ts';
import { Fault } from '../../../../../shared/faults.ts';
import { databaseFile } from '../../support/house.ts';

const NOBODY: Pass = { device: null, fingerprint: null };
const owner = { name: 'owner', role: 'own', password: 'kept', createdMs: 0 } as const;
const loginOf = (secret: string) => ({
  name: 'devices',
  fingerprint: secrets.fingerprint(secret),
  createdMs: 0,
});
const deviceOf = (name: string, secret: string) => ({ ...loginOf(secret), name });

const open = () => openStore({ file: databaseFile(), nowMs: 0 }).access;
const come = (door: BrokerDoor, name: string, secret: string, clientId = 'any') =>
  door.letIn({ login: { name, secret }, clientId });
function passOf(outcome: ReturnType<BrokerDoor['letIn']>): Pass {
  if (typeof outcome === 'string') throw new Error(`turned away: ${outcome}`);
  return outcome;
}

test('without an owner anybody may speak; with one, who came without a name no longer may', () => {
  const record = open();
  const { door } = createBrokerDoor({ record, secrets });
  expect([door.open(), door.holds(NOBODY), door.letIn({ login: null, clientId: 'a' })]).toEqual([
    ...[true, true],
    NOBODY,
  ]);
  record.addAccount(owner);
  expect([door.open(), door.holds(NOBODY), door.letIn({ login: null, clientId: 'a' })]).toEqual([
    ...[false, false],
    'anonymous',
  ]);
});

test('of 4 logins the one whose name and secret fit is let in, until a new secret is made', () => {
  const record = open();
  record.addAccount(owner);
  record.setDeviceLogin(loginOf('secret 1'));
  const { door } = createBrokerDoor({ record, secrets });
  const pass = passOf(come(door, 'devices', 'secret 1'));
  const others = [
    ['devices', 'secret 2'],
    ['Devices', 'secret 1'],
    ['devices', ''],
  ] as const;
  expect(others.map(([name, secret]) => come(door, name, secret))).toEqual(others.map(() => 'bad-login'));
  expect(door.holds(pass)).toBe(true);
  record.setDeviceLogin(loginOf('secret 2'));
  expect(door.holds(pass)).toBe(false);
});

describe.each(['without an owner', 'with an owner'])('a device with a secret of its own, %s', (house) => {
  function opened() {
    const record = open();
    if (house === 'with an owner') record.addAccount(owner);
    record.setDeviceLogin(loginOf('shared'));
    record.addDevice(deviceOf('bench-1', 'secret 1'));
    record.addDevice(deviceOf('bench-2', 'secret 2'));
    return { record, door: createBrokerDoor({ record, secrets }).door };
  }

  test('speaks for itself, not for 1 other with a secret and 1 without', () => {
    const { door } = opened();
    const pass = passOf(come(door, 'bench-1', 'secret 1', 'bench-1'));
    expect(['bench-1', 'bench-2', 'bench-3'].map((device) => door.maySpeakFor(pass, device))).toEqual([
      ...[true, false, false],
    ]);
  });

  test('is not spoken for by the shared login or by nobody, which may speak for one without a secret', () => {
    const { door } = opened();
    for (const pass of [passOf(come(door, 'devices', 'shared')), NOBODY])
      expect(['bench-1', 'bench-3'].map((device) => door.maySpeakFor(pass, device))).toEqual([false, true]);
  });

  test('is not let in by a wrong secret, nor anybody else under its client id', () => {
    const { door } = opened();
    expect(come(door, 'bench-1', 'secret 2')).toBe('bad-login');
    expect(come(door, 'bench-2', 'secret 2', 'bench-1')).toBe('client-id');
    expect(come(door, 'devices', 'shared', 'bench-1')).toBe('client-id');
  });

  test('is cut off at once by a new secret, and comes back with that one alone', () => {
    const { record, door } = opened();
    const pass = passOf(come(door, 'bench-1', 'secret 1'));
    expect(door.holds(pass)).toBe(true);
    record.setDeviceSecret({ name: 'bench-1', fingerprint: secrets.fingerprint('secret 3'), secretMs: 1 });
    expect(door.holds(pass)).toBe(false);
    expect(come(door, 'bench-1', 'secret 1')).toBe('bad-login');
    expect(door.holds(passOf(come(door, 'bench-1', 'secret 3')))).toBe(true);
  });

  test.each(['disabled', 'retired'] as const)(
    'that is %s is turned away with the right secret, told apart from a wrong one, and is still spoken for by nobody; enabled it is back',
    (state) => {
      const { record, door } = opened();
      const pass = passOf(come(door, 'bench-1', 'secret 1'));
      record.setDeviceState({ name: 'bench-1', state, stateMs: 1 });
      expect(door.holds(pass)).toBe(false);
      expect([come(door, 'bench-1', 'secret 1'), come(door, 'bench-1', 'guessed')]).toEqual([
        ...['device-disabled', 'bad-login'],
      ]);
      expect(door.maySpeakFor(NOBODY, 'bench-1')).toBe(false);
      record.setDeviceState({ name: 'bench-1', state: 'enabled', stateMs: 2 });
      expect(door.holds(passOf(come(door, 'bench-1', 'secret 1')))).toBe(true);
    },
  );
});

test('the daemon’s own devices log in with a secret that differs from start to start', () => {
  const record = open();
  record.addAccount(owner);
  const [one, two] = [createBrokerDoor({ record, secrets }), createBrokerDoor({ record, secrets })];
  const { username, password } = one.houseLogin;
  expect(one.door.holds(passOf(come(one.door, username, password)))).toBe(true);
  expect(come(two.door, username, password)).toBe('bad-login');
});

test('a record that cannot be read opens to nobody, and stops nothing', () => {
  const access = open();
  const broken = () => {
    throw new Fault({ code: 'store-failed', message: 'disk I/O error' });
  };
  const record = { ...access, owned: broken, deviceLogin: broken, device: broken };
  const { door } = createBrokerDoor({ record, secrets });
  expect(door.open()).toBe(false);
  expect(door.holds(NOBODY)).toBe(false);
  expect(door.maySpeakFor(NOBODY, 'bench-1')).toBe(false);
  expect(come(door, 'devices', 'secret 1')).toBe('bad-login');
  expect(door.letIn({ login: null, clientId: 'a' })).toBe('bad-login');
});
