import { expect, test } from 'vitest';
import { commonPasswords as common } from '../../../../../server/adapters/passwords/common.ts';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { systemSecrets as secrets } from '../../../../../server/adapters/system/secrets.ts';
import { createPasskeyCheck } from '../../../../../server/adapters/webauthn/webauthn.ts';
import { createAccess } from '../../../../../server/daemon/access/access.ts';
import { setOwnerPassword } from '../../../../../server/daemon/access/owner.ts';
import type { AccessRecord } from '../../../../../server/ports.ts';
import { Fault } from '../../../../../shared/faults.ts';
import { clockByHand, readableLog } from '../../support/hand.ts';
import { databaseFile } from '../../support/house.ts';

const OWNER = 'mist on the third bench';
const ASKER = { address: '192.0.2.7', agent: 'a browser' };
const BY = { name: 'owner', address: ASKER.address };
const HOUR_MS = 3_600_000;
const log = readableLog();
const passkeyCheck = createPasskeyCheck(log);

function accessOn(record: AccessRecord) {
  const hand = clockByHand(0);
  const changes: number[] = [];
  const onChange = () => void changes.push(hand.clock.nowMs());
  const access = createAccess({ record, secrets, common, passkeyCheck, clock: hand.clock, log, onChange });
  return { access, hand, changes };
}

test('account, session and login of devices come back from the file as they went', async () => {
  const file = databaseFile();
  const first = openStore({ file, nowMs: 0 });
  const { access } = accessOn(first.access);
  const { token } = await access.setOwner(OWNER, ASKER);
  access.makeDeviceLogin('devices', BY);
  const before = [first.access.accounts(), first.access.sessions(), first.access.deviceLogin()];
  first.close();
  const again = openStore({ file, nowMs: 0 });
  expect([again.access.accounts(), again.access.sessions(), again.access.deviceLogin()]).toEqual(before);
  expect(accessOn(again.access).access.guestOf(token)).toMatchObject({ name: 'owner', role: 'own' });
  again.close();
});

test('the use of a session is written down once an hour', async () => {
  const { access: record } = openStore({ file: databaseFile(), nowMs: 0 });
  const { access, hand } = accessOn(record);
  const { token } = await access.setOwner(OWNER, ASKER);
  const seenMs = () => record.sessions().map((session) => session.seenMs);
  hand.pass(HOUR_MS - 1);
  access.guestOf(token);
  expect(seenMs()).toEqual([0]);
  hand.pass(1);
  access.guestOf(token);
  expect(seenMs()).toEqual([HOUR_MS]);
});

test('on a full disk whoever is signed in stays so, and one who signs in again is answered store-failed', async () => {
  const { access: record } = openStore({ file: databaseFile(), nowMs: 0 });
  const { token } = await accessOn(record).access.setOwner(OWNER, ASKER);
  const full = () => {
    throw new Fault({ code: 'store-failed', message: 'database or disk is full' });
  };
  const { access, hand } = accessOn({ ...record, seen: full, removeSession: full, addSession: full });
  hand.pass(2 * HOUR_MS);
  expect(access.guestOf(token)).toMatchObject({ name: 'owner' });
  await expect(access.signIn({ name: 'owner', password: OWNER }, ASKER, null)).rejects.toMatchObject({
    code: 'store-failed',
  });
  hand.pass(100 * 24 * HOUR_MS);
  expect(access.guestOf(token)).toBeNull();
});

test('the password of an account that is removed while it is tried lets nobody in', async () => {
  const { access: record } = openStore({ file: databaseFile(), nowMs: 0 });
  const { access } = accessOn(record);
  await access.setOwner(OWNER, ASKER);
  const added = await access.addAccount(
    { name: 'Helper', role: 'tend', password: 'vents open before noon' },
    BY,
  );
  const trying = access.signIn({ name: 'Helper', password: 'vents open before noon' }, ASKER, null);
  access.removeAccount(added.id, BY);
  await expect(trying).rejects.toMatchObject({ code: 'sign-in-failed' });
  expect(record.sessions().map(({ name }) => name)).toEqual(['owner']);
});

test('of 25 sign-ins of one account 20 sessions stay', async () => {
  const { access: record } = openStore({ file: databaseFile(), nowMs: 0 });
  const { access, hand } = accessOn(record);
  const tokens = [(await access.setOwner(OWNER, ASKER)).token];
  for (let i = 0; i < 24; i++) {
    hand.pass(1_000);
    const done = await access.signIn({ name: 'OWNER ', password: OWNER }, ASKER, null);
    tokens.push('token' in done ? done.token : 'none');
  }
  expect(tokens.map((token) => access.guestOf(token) !== null)).toEqual(tokens.map((_, i) => i >= 5));
});

test('an umlaut sent as 1 code point or as 2 is the same password; one kept with other costs still fits', async () => {
  const kept = await secrets.keep('h\u00f6chste Vorsicht');
  expect(await secrets.fits('ho\u0308chste Vorsicht', kept)).toBe(true);
  expect(await secrets.fits('hochste Vorsicht', kept)).toBe(false);
  // RFC 7914, section 12: P = "pleaseletmein", S = "SodiumChloride", N = 16384, r = 8, p = 1; the first 32 of 64 bytes,
  // recalled from memory
  const key = '7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2';
  const salt = Buffer.from('SodiumChloride').toString('base64url');
  const rfc = `scrypt$16384$8$1$${salt}$${Buffer.from(key, 'hex').toString('base64url')}`;
  expect(await secrets.fits('pleaseletmein', rfc)).toBe(true);
  expect(await secrets.fits('pleaseletmeIn', rfc)).toBe(false);
});

test('strikewell owner gives the house back to an owner that was made to look only', async () => {
  const { access: record } = openStore({ file: databaseFile(), nowMs: 0 });
  const { access } = accessOn(record);
  await access.setOwner(OWNER, ASKER);
  await access.addAccount({ name: 'Second', role: 'own', password: 'another who owns' }, BY);
  const [owner] = record.accounts();
  await access.patchAccount(owner?.id ?? 0, { role: 'look' }, BY);
  expect(await setOwnerPassword({ record, secrets, common, nowMs: 5 }, 'found again at last')).toEqual({
    reset: true,
    passkeys: 0,
  });
  expect(record.account('owner')).toMatchObject({ role: 'own' });
  expect(record.sessions()).toEqual([]);
});
