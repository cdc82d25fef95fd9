import { afterAll, beforeAll, expect, test } from 'vitest';
import { airRecord } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

const OWNER = 'mist on the third bench';

let page: Interface;
let cookie = '';

const ask = (method: string, path: string, body?: unknown) =>
  page.ask(method, `/api/v1${path}`, { body, headers: { cookie } });

beforeAll(async () => {
  page = await startInterface();
  const owner = await ask('PUT', '/access/owner', { password: OWNER });
  cookie = ((owner.headers['set-cookie'] as string[])[0] ?? '').split(';')[0] ?? '';
});
afterAll(() => page.close());

type Row = { readonly kind: string; readonly who: string; readonly whom: string; readonly address: string };

async function deviceEvents(): Promise<string[]> {
  const { events } = (await ask('GET', '/access/events?limit=200')).body as { events: Row[] };
  const ofDevices = events.filter(({ kind }) => kind.startsWith('device-')).toReversed();
  return ofDevices.map(({ kind, who, whom, address }) => `${kind} ${who} ${whom} ${address}`);
}

test('each order about a device is kept with who gave it and from where; one that failed is not', async () => {
  for (const device of ['new-1', 'new-2']) await page.house.report([airRecord(24)], device);
  const orders: [string, string][] = [
    ['POST', '/waiting/new-2/ignore'],
    ['POST', '/waiting/new-2/restore'],
    ['POST', '/waiting/new-1/accept'],
    ['POST', '/waiting/new-1/accept'],
    ['POST', '/devices/new-1/archive'],
    ['POST', '/archive/1/restore'],
    ['POST', '/archive/1/restore'],
    ['DELETE', '/devices/new-1'],
    ['DELETE', '/archive/2?now=true'],
  ];
  const statuses: number[] = [];
  for (const [method, path] of orders) statuses.push((await ask(method, path)).status);
  expect(statuses).toEqual([204, 204, 200, 404, 200, 204, 404, 200, 200]);
  expect(await deviceEvents()).toEqual(
    [
      'device-ignored owner new-2',
      'device-unignored owner new-2',
      'device-accepted owner new-1',
      'device-archived owner new-1',
      'device-restored owner new-1',
      'device-deleted owner new-1',
      'device-deleted owner new-1',
    ].map((line) => `${line} 127.0.0.1`),
  );
});

test('a place or a probe that is archived and restored is no event of access', async () => {
  const before = await deviceEvents();
  await page.house.report([airRecord(24)], 'new-2');
  expect((await ask('POST', '/waiting/new-2/accept')).status).toBe(200);
  const { body } = await ask('POST', '/places/new-2/archive');
  expect((await ask('POST', `/archive/${(body as { id: number }).id}/restore`)).status).toBe(204);
  expect(await deviceEvents()).toEqual([...before, 'device-accepted owner new-2 127.0.0.1']);
});
