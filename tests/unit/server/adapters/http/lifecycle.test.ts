import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { airRecord } from '../../support/house.ts';
import { type Interface, type Reply, startInterface } from '../../support/interface.ts';
import { problemWith } from '../../support/problem.ts';

const OWNER = 'mist on the third bench';

let page: Interface;
let cookie = '';

const ask = (method: string, path: string, body?: unknown) =>
  page.ask(method, `/api/v1${path}`, { body, headers: cookie === '' ? {} : { cookie } });
const ids = ({ body }: Reply, list: string) =>
  (body as Record<string, { id: string | number }[]>)[list]?.map(({ id }) => id);

beforeAll(async () => {
  page = await startInterface();
  for (const device of ['bench-1', 'bench-2', 'bench-3']) await page.house.report([airRecord(29)], device);
  for (let i = 0; i < 5; i++) await page.house.report([{ n: 'air/temperature', v: i }]);
});
afterAll(() => page.close());

describe('lists in parts', () => {
  const all = async (list: string, limit: number): Promise<(string | number)[]> => {
    const found: (string | number)[] = [];
    for (let cursor: string | null = ''; cursor !== null; ) {
      const at: string = cursor === '' ? '' : `&cursor=${cursor}`;
      const reply = await ask('GET', `/${list}?limit=${limit}${at}`);
      expect(reply.status).toBe(200);
      const rows = ids(reply, list) ?? [];
      expect(rows.length).toBeLessThanOrEqual(limit);
      found.push(...rows);
      cursor = (reply.body as { next: string | null }).next;
    }
    return found;
  };

  test.each(['places', 'probes', 'alarms', 'refused'])(
    '%s: 2 at a time give each of them once, and without a limit the answer is as ever',
    async (list) => {
      const whole = await ask('GET', `/${list}`);
      expect(whole.body).not.toHaveProperty('next');
      const known = ids(whole, list) ?? [];
      const parts = await all(list, 2);
      expect(parts.toSorted()).toEqual(known.toSorted());
      expect(new Set(parts).size).toBe(known.length);
    },
  );

  test('a place that is removed between two questions makes no gap and no repeat', async () => {
    const first = await ask('GET', '/places?limit=1');
    expect(ids(first, 'places')).toEqual(['bench-1']);
    const { body } = await ask('DELETE', '/places/bench-1');
    const { next } = first.body as { next: string };
    expect(ids(await ask('GET', `/places?limit=5&cursor=${next}`), 'places')).toEqual(['bench-2', 'bench-3']);
    expect((await ask('POST', `/archive/${(body as { id: number }).id}/restore`)).status).toBe(204);
  });

  test.each(['limit=0', 'limit=1001', 'limit=x', 'cursor=abc', 'limit=2&cursor=%21', 'limit=2&cursor=abc'])(
    '%s is a bad request',
    async (query) => {
      expect(await ask('GET', `/probes?${query}`)).toMatchObject({
        status: 400,
        body: problemWith('bad-request'),
      });
    },
  );
});

describe('archive and delete', () => {
  test('what goes is named; a place is archived, listed, deleted, and restored', async () => {
    expect(await ask('GET', '/places/bench-2/contents')).toMatchObject({
      status: 200,
      body: { places: [{ id: 'bench-2' }], devices: ['bench-2'], probes: 1, entries: 0 },
    });
    const archived = await ask('POST', '/places/bench-2/archive');
    expect(archived).toMatchObject({ status: 200, body: { kind: 'place', state: 'archived', until: null } });
    const { id } = archived.body as { id: number };
    expect((await ask('GET', '/places/bench-2')).status).toBe(404);
    expect((await ask('GET', '/places/bench-2/export')).status).toBe(200);
    expect(await ask('DELETE', `/archive/${id}`)).toMatchObject({
      status: 200,
      body: { state: 'deleted', until: '2026-07-01T10:00:00.000Z' },
    });
    expect((await ask('GET', '/archive')).body).toMatchObject({ items: [{ id, name: 'bench-2' }] });
    expect((await ask('POST', `/archive/${id}/restore`)).status).toBe(204);
    expect((await ask('GET', '/places/bench-2')).status).toBe(200);
  });

  test('a probe and a device too', async () => {
    const probe = await ask('DELETE', '/probes/2');
    expect(probe).toMatchObject({ status: 200, body: { kind: 'probe', name: 'bench-2/air/temperature' } });
    const device = await ask('POST', '/devices/bench-3/archive');
    expect(device).toMatchObject({ status: 200, body: { kind: 'device', name: 'bench-3', probes: 1 } });
    expect(ids(await ask('GET', '/archive?limit=1'), 'items')).toEqual([(device.body as { id: number }).id]);
    for (const { body } of [probe, device])
      expect((await ask('POST', `/archive/${(body as { id: number }).id}/restore`)).status).toBe(204);
  });

  test.each([
    ['DELETE', '/places/nowhere'],
    ['POST', '/probes/99/archive'],
    ['POST', '/probes/x/archive'],
    ['DELETE', '/devices/nobody'],
    ['POST', '/archive/99/restore'],
    ['POST', '/waiting/nobody/accept'],
  ])('%s %s is not found', async (method, path) => {
    expect(await ask(method, path)).toMatchObject({ status: 404, body: problemWith('not-found') });
  });
});

describe('behind an owner password', () => {
  const signIn = async (name: string, password: string) => {
    const reply = await page.ask('POST', '/api/v1/access/sign-in', { body: { name, password } });
    const [set = ''] = (reply.headers['set-cookie'] ?? []) as string[];
    return set.split(';')[0] ?? '';
  };

  test('a device that waits is listed, accepted by one order, and then a place', async () => {
    const owner = await ask('PUT', '/access/owner', { password: OWNER });
    cookie = ((owner.headers['set-cookie'] as string[])[0] ?? '').split(';')[0] ?? '';
    await page.house.report([airRecord(24)], 'new-1');
    expect((await ask('GET', '/waiting')).body).toMatchObject({
      waiting: [{ device: 'new-1', kept: 1 }],
      ignored: [],
      limits: { devices: 50 },
    });
    expect(await ask('POST', '/waiting/new-1/accept')).toMatchObject({
      status: 200,
      body: { device: 'new-1', stored: 1, refused: 0, dropped: 0 },
    });
    expect((await ask('GET', '/places/new-1/now')).status).toBe(200);
  });

  test('ignoring notes who did, and is undone', async () => {
    await page.house.report([airRecord(24)], 'new-2');
    expect((await ask('POST', '/waiting/new-2/ignore')).status).toBe(204);
    expect((await ask('GET', '/waiting')).body).toMatchObject({
      waiting: [],
      ignored: [{ device: 'new-2', decidedBy: 'owner' }],
    });
    expect((await ask('POST', '/waiting/new-2/restore')).status).toBe(204);
  });

  test('who tends accepts devices, and archives nothing', async () => {
    const account = { name: 'Robin', role: 'tend', password: 'vents open before noon' };
    await ask('POST', '/access/accounts', account);
    const owner = cookie;
    cookie = await signIn('Robin', account.password);
    expect((await ask('POST', '/places/bench-1/archive')).status).toBe(403);
    expect((await ask('DELETE', '/places/bench-1')).status).toBe(403);
    expect((await ask('POST', '/waiting/new-2/accept')).status).toBe(200);
    cookie = owner;
  });

  test('a login of its own accepts a device that waits', async () => {
    await page.house.report([airRecord(24)], 'new-3');
    expect((await ask('POST', '/devices', { device: 'new-3' })).status).toBe(201);
    expect((await ask('GET', '/waiting')).body).toMatchObject({ waiting: [] });
    expect((await ask('GET', '/places/new-3')).status).toBe(200);
  });
});
