import { expect, test } from 'vitest';
import { inspectAccess } from '../../../../../server/adapters/sqlite/file/inspect-access.ts';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { type AccessState, accessLines } from '../../../../../server/domain/doctor/access.ts';
import { databaseFile } from '../../support/house.ts';

const DAY_MS = 86_400_000;
const ALONE: AccessState = {
  host: '127.0.0.1',
  loopback: true,
  tls: false,
  proxied: false,
  broker: 'plain',
  owned: false,
  accounts: 0,
  sessions: 0,
  sharedLogin: false,
  withoutSecret: 2,
  passkeys: [],
  pageHost: null,
  refused: 0,
  devices: { enabled: 0, disabled: 0, retired: 0 },
};
const OPEN: AccessState = {
  ...ALONE,
  host: '0.0.0.0',
  loopback: false,
  tls: true,
  broker: 'both',
  owned: true,
  accounts: 2,
  sessions: 3,
  sharedLogin: true,
  passkeys: [{ account: 'owner', hosts: ['bench.example.org', 'localhost'] }],
  pageHost: 'bench.example.org',
  refused: 7,
  devices: { enabled: 4, disabled: 1, retired: 2 },
};
const found = (state: AccessState) => accessLines(state).map((line) => line.found);
const hands = (state: AccessState) =>
  accessLines(state).flatMap(({ of, remedy }) => (remedy === null ? [] : [of]));

test('an installation that answers its own machine alone needs no hand, and 3 lines say so', () => {
  expect(hands(ALONE)).toEqual([]);
  expect(found(ALONE)).toEqual([
    'no sign-in; only this computer can reach it',
    'none',
    '0 with a secret of their own, 2 without a login; the broker is not encrypted',
  ]);
});

test('one that others reach, with password and certificate, says who may come in, and needs no hand', () => {
  expect(hands(OPEN)).toEqual([]);
  expect(found(OPEN)).toEqual([
    'an owner password is set; 2 accounts, 3 signed in; other computers can reach it at 0.0.0.0',
    '7 refused in 24 h; passkeys: 1 of 2 accounts',
    'the page is served with a certificate',
    '4 with a secret of their own, 2 by the shared login, 1 disabled, 2 retired; the broker accepts encrypted connections too',
  ]);
});

test.each([
  ['no owner password where others reach it', { ...OPEN, owned: false }, ['access']],
  ['no certificate', { ...OPEN, tls: false, broker: 'plain' }, ['encryption', 'devices']],
  ['no certificate, behind a proxy', { ...OPEN, tls: false, proxied: true, broker: 'plain' }, ['devices']],
  ['2 devices that cannot speak', { ...OPEN, sharedLogin: false }, ['devices']],
  ['a passkey that does not work where the page is', { ...OPEN, pageHost: 'new.example.org' }, ['sign-ins']],
  ['the same where no address of the page is set', { ...OPEN, pageHost: null }, []],
  ['the same at an outside broker', { ...OPEN, sharedLogin: false, broker: 'outside' }, []],
] as const)('%s needs a hand', (_what, state, of) => {
  expect(hands(state)).toEqual(of);
});

test('of a record 1 account, 1 of 2 sessions, 3 devices and 1 without a secret are counted', () => {
  const file = databaseFile();
  const store = openStore({ file, nowMs: 0 });
  const { access, probes } = store;
  const { id } = access.addAccount({ name: 'owner', role: 'own', password: 'kept', createdMs: 0 });
  const session = { accountId: id, createdMs: 0, address: '', agent: '' };
  access.addSession({ ...session, fingerprint: 'a' });
  access.addSession({ ...session, fingerprint: 'b', createdMs: 20 * DAY_MS });
  const passkey = { accountId: id, publicKey: new Uint8Array(8), counter: 0, transports: [], createdMs: 0 };
  for (const [credential, host] of [
    ['A', 'localhost'],
    ['B', 'bench.example.org'],
    ['C', 'localhost'],
  ] as const)
    access.addPasskey({ ...passkey, name: credential, credential, host });
  const event = { whom: null, address: null, note: null, who: 'owner', kind: 'sign-in-refused' } as const;
  const times = [0, 20 * DAY_MS - 1, 20 * DAY_MS + 1];
  access.addAccessEvents(times.map((atMs) => ({ ...event, firstMs: atMs, atMs, count: 3 })));
  for (const name of ['bench-1', 'bench-2', 'bench-3'])
    access.addDevice({ name, fingerprint: name, createdMs: 0 });
  access.setDeviceState({ name: 'bench-2', state: 'disabled', stateMs: 1 });
  access.setDeviceState({ name: 'bench-3', state: 'retired', stateMs: 1 });
  const probe = { name: 'air/temperature', quantity: 'air/temperature', unit: '°C', placeId: null };
  for (const device of ['bench-1', 'sill']) probes.add({ device, ...probe });
  store.close();
  // a session that is not used ends after 14 days
  expect(inspectAccess(file, 21 * DAY_MS)).toEqual({
    owned: true,
    accounts: 1,
    sessions: 1,
    sharedLogin: false,
    withoutSecret: 1,
    devices: { enabled: 1, disabled: 1, retired: 1 },
    passkeys: [{ account: 'owner', hosts: ['bench.example.org', 'localhost'] }],
    refused: 3,
  });
});
