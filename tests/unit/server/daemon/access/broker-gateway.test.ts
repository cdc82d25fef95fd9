import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { systemSecrets as secrets } from '../../../../../server/adapters/system/secrets.ts';
import { createBrokerGateway } from '../../../../../server/daemon/access/broker-gateway.ts';
import type { BrokerGateway, Pass } from '../../../../../server/ports.ts';
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
const come = (gateway: BrokerGateway, name: string, secret: string, clientId = 'any') =>
  gateway.letIn({ login: { name, secret }, clientId });
function passOf(outcome: ReturnType<BrokerGateway['letIn']>): Pass {
  if (typeof outcome === 'string') throw new Error(`turned away: ${outcome}`);
  return outcome;
}

test('without an owner anybody may publish; with one, who came without a name no longer may', () => {
  const record = open();
  const { gateway } = createBrokerGateway({ record, secrets });
  expect([gateway.open(), gateway.holds(NOBODY), gateway.letIn({ login: null, clientId: 'a' })]).toEqual([
    true,
    true,
    NOBODY,
  ]);
  record.addAccount(owner);
  expect([gateway.open(), gateway.holds(NOBODY), gateway.letIn({ login: null, clientId: 'a' })]).toEqual([
    false,
    false,
    'anonymous',
  ]);
});

test('of 4 logins the one whose name and secret fit is let in, until a new secret is made', () => {
  const record = open();
  record.addAccount(owner);
  record.setDeviceLogin(loginOf('secret 1'));
  const { gateway } = createBrokerGateway({ record, secrets });
  const pass = passOf(come(gateway, 'devices', 'secret 1'));
  const others = [
    ['devices', 'secret 2'],
    ['Devices', 'secret 1'],
    ['devices', ''],
  ] as const;
  expect(others.map(([name, secret]) => come(gateway, name, secret))).toEqual(others.map(() => 'bad-login'));
  expect(gateway.holds(pass)).toBe(true);
  record.setDeviceLogin(loginOf('secret 2'));
  expect(gateway.holds(pass)).toBe(false);
});

describe.each(['without an owner', 'with an owner'])('a device with a secret of its own, %s', (house) => {
  function opened() {
    const record = open();
    if (house === 'with an owner') record.addAccount(owner);
    record.setDeviceLogin(loginOf('shared'));
    record.addDevice(deviceOf('bench-1', 'secret 1'));
    record.addDevice(deviceOf('bench-2', 'secret 2'));
    return { record, gateway: createBrokerGateway({ record, secrets }).gateway };
  }

  test('publishes for itself, not for 1 other with a secret and 1 without', () => {
    const { gateway } = opened();
    const pass = passOf(come(gateway, 'bench-1', 'secret 1', 'bench-1'));
    expect(['bench-1', 'bench-2', 'bench-3'].map((device) => gateway.maySpeakFor(pass, device))).toEqual([
      true,
      false,
      false,
    ]);
  });

  test('cannot be published for by the shared login or by nobody, which may publish for one without a secret', () => {
    const { gateway } = opened();
    for (const pass of [passOf(come(gateway, 'devices', 'shared')), NOBODY])
      expect(['bench-1', 'bench-3'].map((device) => gateway.maySpeakFor(pass, device))).toEqual([
        false,
        true,
      ]);
  });

  test('is not let in by a wrong secret, nor anybody else under its client id', () => {
    const { gateway } = opened();
    expect(come(gateway, 'bench-1', 'secret 2')).toBe('bad-login');
    expect(come(gateway, 'bench-2', 'secret 2', 'bench-1')).toBe('client-id');
    expect(come(gateway, 'devices', 'shared', 'bench-1')).toBe('client-id');
  });

  test('is cut off at once by a new secret, and comes back with that one alone', () => {
    const { record, gateway } = opened();
    const pass = passOf(come(gateway, 'bench-1', 'secret 1'));
    expect(gateway.holds(pass)).toBe(true);
    record.setDeviceSecret({ name: 'bench-1', fingerprint: secrets.fingerprint('secret 3'), secretMs: 1 });
    expect(gateway.holds(pass)).toBe(false);
    expect(come(gateway, 'bench-1', 'secret 1')).toBe('bad-login');
    expect(gateway.holds(passOf(come(gateway, 'bench-1', 'secret 3')))).toBe(true);
  });

  test.each(['disabled', 'retired'] as const)(
    'that is %s is turned away with the right secret, told apart from a wrong one, and can still be published for by nobody; enabled it is back',
    (state) => {
      const { record, gateway } = opened();
      const pass = passOf(come(gateway, 'bench-1', 'secret 1'));
      record.setDeviceState({ name: 'bench-1', state, stateMs: 1 });
      expect(gateway.holds(pass)).toBe(false);
      expect([come(gateway, 'bench-1', 'secret 1'), come(gateway, 'bench-1', 'guessed')]).toEqual([
        'device-disabled',
        'bad-login',
      ]);
      expect(gateway.maySpeakFor(NOBODY, 'bench-1')).toBe(false);
      record.setDeviceState({ name: 'bench-1', state: 'enabled', stateMs: 2 });
      expect(gateway.holds(passOf(come(gateway, 'bench-1', 'secret 1')))).toBe(true);
    },
  );
});

test('the daemon’s own devices log in with a secret that differs from start to start', () => {
  const record = open();
  record.addAccount(owner);
  const [one, two] = [createBrokerGateway({ record, secrets }), createBrokerGateway({ record, secrets })];
  const { username, password } = one.houseLogin;
  expect(one.gateway.holds(passOf(come(one.gateway, username, password)))).toBe(true);
  expect(come(two.gateway, username, password)).toBe('bad-login');
});

test('a record that cannot be read opens to nobody, and stops nothing', () => {
  const access = open();
  const broken = () => {
    throw new Fault({ code: 'store-failed', message: 'disk I/O error' });
  };
  const record = { ...access, owned: broken, deviceLogin: broken, device: broken };
  const { gateway } = createBrokerGateway({ record, secrets });
  expect(gateway.open()).toBe(false);
  expect(gateway.holds(NOBODY)).toBe(false);
  expect(gateway.maySpeakFor(NOBODY, 'bench-1')).toBe(false);
  expect(come(gateway, 'devices', 'secret 1')).toBe('bad-login');
  expect(gateway.letIn({ login: null, clientId: 'a' })).toBe('bad-login');
});
