import { expect, test } from 'vitest';
import { createGate, MAX_WAITING } from '../../../../../server/daemon/access/gate.ts';
import { MAX_ADDRESSES } from '../../../../../server/domain/access/throttle.ts';
import { clockByHand } from '../../support/hand.ts';

// Addresses of documentation: 192.0.2.0/24, 198.51.100.0/24, 203.0.113.0/24 (RFC 5737).
const OUTSIDER = '203.0.113.9';
const OWNERS = '192.0.2.1';
const wrong = () => Promise.resolve(false);
const right = () => Promise.resolve(true);
const addressOf = (n: number) => `198.${18 + (n >> 16)}.${(n >> 8) & 255}.${n & 255}`;

function gateWith({ known = [] }: { known?: readonly string[] } = {}) {
  const hand = clockByHand(0);
  return { hand, gate: createGate({ clock: hand.clock, isKnown: (address) => known.includes(address) }) };
}

test('after 50 wrong passwords from one address it waits, and 1 right one from another address goes through', async () => {
  const { gate } = gateWith();
  const outcomes = [];
  for (let i = 0; i < 50; i++) {
    outcomes.push(await gate.attempt(OUTSIDER, wrong).catch(({ code }: { code: string }) => code));
  }
  expect(outcomes.slice(0, 5)).toEqual([false, false, false, false, 'too-many-attempts']);
  expect(new Set(outcomes.slice(5))).toEqual(new Set(['too-many-attempts']));
  expect(await gate.attempt(OWNERS, right)).toBe(true);
});

test('a try that comes too early is refused unseen and does not make the wait longer', async () => {
  const { gate, hand } = gateWith();
  for (let i = 0; i < 4; i++) await gate.attempt(OUTSIDER, wrong);
  let seen = 0;
  const check = () => {
    seen += 1;
    return right();
  };
  for (let i = 0; i < 20; i++) {
    await expect(gate.attempt(OUTSIDER, check)).rejects.toMatchObject({ details: { waitMs: 1_000 } });
  }
  expect(seen).toBe(0);
  hand.pass(1_000);
  expect(await gate.attempt(OUTSIDER, check)).toBe(true);
});

test('passwords are tried 1 at a time, and 1 an address', async () => {
  const { gate } = gateWith();
  let [now, most] = [0, 0];
  const tries = async () => {
    most = Math.max(most, ++now);
    await new Promise((resolve) => setImmediate(resolve));
    now -= 1;
    return true;
  };
  const several = [1, 2, 3, 4, 5].map((n) => gate.attempt(addressOf(n), tries));
  await expect(gate.attempt(addressOf(3), tries)).rejects.toMatchObject({ code: 'too-many-attempts' });
  await Promise.all(several);
  expect(most).toBe(1);
});

test('a crowd of outsiders that fills the queue holds up neither this machine nor an address that is signed in', async () => {
  const { gate } = gateWith({ known: [OWNERS] });
  const held = Promise.withResolvers<boolean>();
  const order: string[] = [];
  const noted = (who: string) => () => {
    order.push(who);
    return right();
  };
  const crowd = [gate.attempt(addressOf(0), () => held.promise)];
  for (let n = 1; n <= MAX_WAITING; n++) crowd.push(gate.attempt(addressOf(n), noted('crowd')));
  const late = gate.attempt(addressOf(999), noted('late'));
  await expect(late).rejects.toMatchObject({ code: 'too-many-attempts' });
  const ours = [gate.attempt(OWNERS, noted('owner')), gate.attempt('127.0.0.1', noted('here'))];
  held.resolve(false);
  await Promise.all([...crowd, ...ours]);
  expect(order.slice(0, 2)).toEqual(['owner', 'here']);
  expect(order).toHaveLength(MAX_WAITING + 2);
});

test(`of ${MAX_ADDRESSES + 10} addresses that failed, ${MAX_ADDRESSES} are remembered`, async () => {
  const { gate } = gateWith();
  for (let n = 0; n < MAX_ADDRESSES + 10; n++) await gate.attempt(addressOf(n), wrong);
  expect(gate.remembered()).toBe(MAX_ADDRESSES);
});

test('a try that breaks off lets the next one through', async () => {
  const { gate } = gateWith();
  await expect(gate.attempt(OUTSIDER, () => Promise.reject(new Error('no memory')))).rejects.toThrow(
    'no memory',
  );
  expect(await gate.attempt(OUTSIDER, right)).toBe(true);
});
