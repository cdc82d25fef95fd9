import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { KEPT_DESCRIPTORS, withinBudget } from '../../../../../server/domain/limits/budget.ts';
import { createLogPace } from '../../../../../server/domain/limits/log-pace.ts';
import { mayOpenPage } from '../../../../../server/domain/limits/pages.ts';
import { createPlaces } from '../../../../../server/domain/limits/places.ts';
import { LIMIT_TABLE, LIMITS } from '../../../../../server/domain/limits/table.ts';

test('DEVELOPERS.md shows the table of limits as it is in the code', () => {
  const text = readFileSync(new URL('../../../../../DEVELOPERS.md', import.meta.url), 'utf8');
  const rows = Object.entries(LIMIT_TABLE).map(
    ([name, { value, unit, reason }]) =>
      `| \`${name}\` | ${value.toLocaleString('en')} ${unit} | ${reason} |`,
  );
  expect(text).toContain(['| limit | value | why |', '|---|---|---|', ...rows].join('\n'));
});

test.each([40, 64, 128, 1_024, 1_048_576])(
  'with %i descriptors, 30 of them in use, connections leave those that are kept, down to four a door',
  (most) => {
    const limits = withinBudget(LIMITS, { most, inUse: 30 });
    const taken = limits.mqttPendingInAll + limits.mqttClientsInAll + limits.httpConnectionsInAll;
    expect(taken).toBeLessThanOrEqual(Math.max(8, most - 30 - KEPT_DESCRIPTORS));
    expect(limits.mqttSharedClientsInAll).toBeLessThan(limits.mqttClientsInAll);
    expect(withinBudget(LIMITS, null)).toBe(LIMITS);
  },
);

test('a newcomer takes the place of who waited longest: at its own address, else where most are', () => {
  const places = createPlaces<string>({ inAll: 4, perAddress: 3 }, (one) => !one.startsWith('kept'));
  const take = (one: string, address: string) => places.take(one, address)?.evicted;
  expect([take('kept a', '192.0.2.1'), take('b', '192.0.2.1'), take('c', '192.0.2.1')]).toEqual([
    null,
    null,
    null,
  ]);
  expect(take('d', '192.0.2.1')).toBe('b');
  expect(take('e', '192.0.2.2')).toBeNull();
  expect(take('f', '192.0.2.3')).toBe('c');
  places.leave('f');
  expect([places.count(), take('g', '192.0.2.4')]).toEqual([3, null]);
  const full = createPlaces<string>({ inAll: 1, perAddress: 1 }, () => false);
  expect([full.take('a', '192.0.2.1'), full.take('b', '192.0.2.1')]).toEqual([{ evicted: null }, null]);
});

test('of 200 pages the last 20 are for owners', () => {
  const open = Array.from({ length: 180 }, (_, n) => ({
    accountId: n,
    isOwner: false,
    address: `192.0.2.${n}`,
  }));
  const viewer = { accountId: 900, isOwner: false, address: '198.51.100.1' };
  expect(mayOpenPage(viewer, open, LIMITS)).toBe(false);
  expect(mayOpenPage({ ...viewer, isOwner: true }, open, LIMITS)).toBe(true);
  expect(mayOpenPage(viewer, open.slice(1), LIMITS)).toBe(true);
});

test('of 1,000 refusals in a minute 10 are written, and the next minute says how many were not', () => {
  const pace = createLogPace(10);
  const written = Array.from({ length: 1_000 }, (_, n) => pace('refused', n)).filter(({ write }) => write);
  expect(written).toHaveLength(10);
  expect(pace('refused', 60_000)).toEqual({ write: true, leftOut: 990 });
});
