import { afterAll, beforeAll, expect, test } from 'vitest';
import { isReadable } from '../../../../../server/domain/access/routes.ts';
import { ROUTES } from '../../../../../shared/routes/routes.ts';
import { airRecord } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

const NOTES = 'https://notes.example.org';
let page: Interface;
let cookie = '';

beforeAll(async () => {
  page = await startInterface({ readingOrigins: [NOTES] });
  await page.house.report([airRecord(21)]);
  const password = 'seven mist benches in a row';
  const { headers } = await page.ask('PUT', '/api/v1/access/owner', { body: { password } });
  cookie = String(headers['set-cookie']).split(';')[0] ?? '';
  await page.ask('POST', '/api/v1/access/confirm', { body: { password }, headers: { cookie } });
});
afterAll(() => page.close());

type Made = { readonly id: number; readonly token: string };
const made = async (name: string, scope: string): Promise<Made> => {
  const order = { body: { name, scope }, headers: { cookie } };
  const { status, body } = await page.ask('POST', '/api/v1/access/tokens', order);
  expect(status).toBe(201);
  return body as Made;
};
const bearer = (token: string) => ({ authorization: `Bearer ${token}` });

test('a token that reads sees places and /metrics, changes nothing, and sees nothing of who may', async () => {
  const { token } = await made('notebook', 'read');
  for (const path of ['/api/v1/places', '/api/v1/places/bench-1/now', '/api/v1/alarms', '/metrics'])
    expect([path, (await page.get(path, bearer(token))).status]).toEqual([path, 200]);
  for (const path of ['/api/v1/access/sessions', '/api/v1/access/tokens', '/api/v1/access/events'])
    expect([path, (await page.get(path, bearer(token))).status]).toEqual([path, 401]);
  const order = { body: { minutes: 60, reason: 'x' }, headers: bearer(token) };
  expect((await page.ask('POST', '/api/v1/alarms/bench-1.no-data/shelve', order)).status).toBe(401);
});

test('one for the metrics sees /metrics alone; once it is removed, not even that', async () => {
  const { id, token } = await made('scraper', 'metrics');
  expect((await page.get('/metrics', bearer(token))).status).toBe(200);
  expect((await page.get('/api/v1/places', bearer(token))).status).toBe(401);
  expect((await page.ask('DELETE', `/api/v1/access/tokens/${id}`, { headers: { cookie } })).status).toBe(204);
  expect((await page.get('/metrics', bearer(token))).status).toBe(401);
});

test('neither list, record nor events hold the text of a token, and a name is taken once', async () => {
  const { token } = await made('held', 'read');
  const list = await page.get('/api/v1/access/tokens', { cookie });
  expect(JSON.stringify(list.body)).toContain('"held"');
  const events = await page.get('/api/v1/access/events', { cookie });
  expect(JSON.stringify([list.body, events.body, page.house.store.access.apiTokens()])).not.toContain(token);
  expect(page.house.store.access.apiTokenBy(token)).toBeNull();
  const again = { body: { name: 'held', scope: 'read' }, headers: { cookie } };
  expect((await page.ask('POST', '/api/v1/access/tokens', again)).status).toBe(400);
});

test('a page of the list may read with a token and sends no order; a page elsewhere does neither', async () => {
  const { token } = await made('page', 'read');
  const asked = await page.ask('OPTIONS', '/api/v1/places', { headers: { origin: NOTES } });
  expect(asked).toMatchObject({
    status: 204,
    headers: { 'access-control-allow-origin': NOTES, 'access-control-allow-headers': 'authorization' },
  });
  const read = await page.get('/api/v1/places', { ...bearer(token), origin: NOTES });
  expect([read.status, read.headers['access-control-allow-origin']]).toEqual([200, NOTES]);
  expect(read.headers['access-control-allow-credentials']).toBeUndefined();
  expect((await page.get('/api/v1/places', { origin: NOTES })).status).toBe(401);
  const order = { headers: { origin: NOTES, cookie } };
  expect((await page.ask('POST', '/api/v1/access/sign-out', order)).status).toBe(403);
  expect((await page.get('/api/v1/places', { ...bearer(token), origin: 'https://a.example' })).status).toBe(
    403,
  );
});

test('of all routes a token reads GETs of the role look, and none under /api/v1/access/', () => {
  const open = Object.entries(ROUTES).filter(([name]) => {
    const [method = '', path = ''] = name.split(' ');
    return isReadable({ method, path: path.replaceAll(/\{\w+\}/g, 'x') });
  });
  expect(open.length).toBeGreaterThan(20);
  for (const [name, { role }] of open) {
    expect(name).toMatch(/^get \/(?!api\/v1\/access\/)/);
    expect(['anyone', 'look']).toContain(role);
  }
});
