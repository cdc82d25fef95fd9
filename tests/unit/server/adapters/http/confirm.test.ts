import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Interface, type Reply, startInterface } from '../../support/interface.ts';
import { problemWith } from '../../support/problem.ts';

const OWNER = 'mist on the third bench';
const HELPER = 'vents open before noon';
const MINUTE_MS = 60_000;

let page: Interface;
const cookies: Record<string, string> = {};

const cookieOf = ({ headers }: Reply): string => {
  const [first = ''] = (headers['set-cookie'] ?? []) as string[];
  return first.split(';')[0] ?? '';
};
const as = (who: string, method: string, path: string, body?: unknown) =>
  page.ask(method, path, { body, headers: { cookie: cookies[who] ?? '' } });
const confirm = (who: string, password: string) => as(who, 'POST', '/api/v1/access/confirm', { password });
const signIn = (name: string, password: string) =>
  page.ask('POST', '/api/v1/access/sign-in', { body: { name, password } });
const account = { name: 'Helper', role: 'tend', password: HELPER };

type Row = { kind: string; who: string | null; whom: string | null; note: string | null; count: number };
const events = async (query = '') => {
  const { body } = await as('owner', 'GET', `/api/v1/access/events${query}`);
  return body as { events: Row[]; next: string | null };
};

beforeAll(async () => {
  page = await startInterface({ trustedProxies: ['127.0.0.1'] });
  const reply = await page.ask('PUT', '/api/v1/access/owner', { body: { password: OWNER } });
  cookies['owner'] = cookieOf(reply);
});
afterAll(() => page.close());

test('a common password is refused for owner, account and change alike, and is not repeated', async () => {
  const common = 'password123';
  const replies = [
    await as('owner', 'POST', '/api/v1/access/accounts', { ...account, password: common }),
    await as('owner', 'PUT', '/api/v1/access/password', { current: OWNER, password: common }),
    await as('owner', 'PATCH', '/api/v1/access/accounts/1', { password: common }),
  ];
  for (const reply of replies) {
    expect(reply).toMatchObject({ status: 400, body: problemWith('bad-request') });
    expect(JSON.stringify(reply.body)).toContain('one of the most common passwords');
    expect(JSON.stringify(reply.body)).not.toContain(common);
  }
  const checked = await as('owner', 'POST', '/api/v1/access/password-check', { password: common });
  expect(checked.body).toMatchObject({ problem: expect.stringContaining('common') });
  expect(page.house.store.access.accounts()).toHaveLength(1);
});

test('within 10 minutes of a sign-in accounts are changed at once; after that the password is asked for again', async () => {
  page.house.hand.pass(10 * MINUTE_MS - 1);
  expect((await as('owner', 'POST', '/api/v1/access/accounts', account)).status).toBe(201);
  page.house.hand.pass(1);
  const orders: [string, string, unknown?][] = [
    ['POST', '/api/v1/access/accounts', { ...account, name: 'Second' }],
    ['PATCH', '/api/v1/access/accounts/2', { role: 'own' }],
    ['PATCH', '/api/v1/access/accounts/2', { password: 'caps off at half past' }],
    ['DELETE', '/api/v1/access/accounts/2'],
    ['PUT', '/api/v1/access/device-login', { name: 'devices' }],
    ['POST', '/api/v1/devices', { device: 'bench-1' }],
    ['POST', '/api/v1/devices/bench-1/secret'],
    ['GET', '/api/v1/house/webhook-secret'],
    ['HEAD', '/api/v1/house/webhook-secret'],
    ['POST', '/api/v1/access/passkeys/offer'],
    ['DELETE', '/api/v1/access/passkeys/1'],
  ];
  for (const [method, path, body] of orders) {
    const reply = await as('owner', method, path, body);
    expect([method, path, reply.status]).toEqual([method, path, 403]);
    if (method !== 'HEAD') expect(reply.body).toEqual(problemWith('confirm-needed'));
  }
  expect(page.house.store.access.accounts().map(({ name, role }) => [name, role])).toEqual([
    ['owner', 'own'],
    ['Helper', 'tend'],
  ]);
  expect((await as('owner', 'GET', '/api/v1/access/accounts')).status).toBe(200);
});

test('a wrong password confirms nothing; the right one lets the order through, for this session alone', async () => {
  expect(await confirm('owner', HELPER)).toMatchObject({ status: 401, body: problemWith('sign-in-failed') });
  const order = () => as('owner', 'PUT', '/api/v1/access/device-login', { name: 'devices' });
  expect((await order()).status).toBe(403);
  const until = new Date(page.house.hand.clock.nowMs() + 10 * MINUTE_MS).toISOString();
  expect(await confirm('owner', OWNER)).toMatchObject({ status: 200, body: { until } });
  expect((await order()).status).toBe(200);
  cookies['second'] = cookieOf(await signIn('owner', OWNER));
  page.house.hand.pass(10 * MINUTE_MS);
  expect((await confirm('owner', OWNER)).status).toBe(200);
  const other = await as('second', 'PUT', '/api/v1/access/device-login', { name: 'devices' });
  expect(other).toMatchObject({ status: 403, body: problemWith('confirm-needed') });
});

test('a session of somebody else asks for the password, one’s own does not', async () => {
  cookies['helper'] = cookieOf(await signIn('Helper', HELPER));
  const ids = page.house.store.access.sessions().map(({ id, name }) => ({ id, name }));
  const idOf = (who: string) => ids.find(({ name }) => name === who)?.id ?? 0;
  const end = (who: string, id: number) => as(who, 'DELETE', `/api/v1/access/sessions/${id}`);
  expect(await end('second', idOf('Helper'))).toMatchObject({
    status: 403,
    body: problemWith('confirm-needed'),
  });
  expect((await end('owner', idOf('Helper'))).status).toBe(204);
  const [, second] = page.house.store.access.sessions().toSorted((a, b) => a.id - b.id);
  expect((await end('second', second?.id ?? 0)).status).toBe(204);
});

test('8 wrong passwords at the confirmation lead to too-many-attempts, as at the sign-in', async () => {
  const statuses: number[] = [];
  for (let i = 0; i < 8; i++) statuses.push((await confirm('owner', `wrong number ${i}`)).status);
  expect(statuses).toContain(429);
  page.house.hand.pass(60 * MINUTE_MS);
});

test('what happened stands in the events, and nothing of a name that nobody has', async () => {
  const typed = 'my real password typed as name';
  await signIn(typed, 'whatever it is');
  await signIn('owner', 'a wrong one');
  const { events: rows, next } = await events('?limit=200');
  expect(next).toBeNull();
  const kinds = rows.map(({ kind }) => kind);
  for (const kind of ['owner-set', 'account-added', 'device-login', 'session-ended', 'confirm-refused'])
    expect(kinds).toContain(kind);
  expect(rows.find(({ kind }) => kind === 'account-added')).toMatchObject({
    who: 'owner',
    whom: 'Helper',
    note: 'tend',
    address: '127.0.0.1',
  });
  expect(rows.filter(({ kind }) => kind === 'sign-in-refused').map(({ who }) => who)).toEqual([
    'owner',
    null,
  ]);
  const kept = page.house.store.access.accessEvents({ limit: 1000, beforeId: null });
  expect(JSON.stringify([rows, kept, page.house.log.lines])).not.toContain(typed.slice(0, 12));
});

test('events come in parts, to owners only', async () => {
  const first = await events('?limit=2');
  expect(first.events).toHaveLength(2);
  const rest = await events(`?limit=200&cursor=${first.next}`);
  expect(rest.next).toBeNull();
  expect((await events('?limit=200')).events).toEqual([...first.events, ...rest.events]);
  for (const query of ['?limit=0', '?limit=201', '?cursor=x', '?other=1']) {
    expect((await as('owner', 'GET', `/api/v1/access/events${query}`)).status).toBe(400);
  }
  cookies['helper'] = cookieOf(await signIn('Helper', HELPER));
  expect((await as('helper', 'GET', '/api/v1/access/events')).status).toBe(403);
  expect((await page.get('/api/v1/access/events')).status).toBe(401);
});

test('an account whose passkey works elsewhere only is not let in by its password alone', async () => {
  const { access } = page.house.store;
  access.addPasskey({
    accountId: 2,
    name: 'phone',
    credential: 'AAAA',
    publicKey: new Uint8Array(8),
    counter: 0,
    transports: ['internal'],
    host: 'bench.example.org',
    createdMs: 0,
  });
  const reply = await signIn('Helper', HELPER);
  expect(reply).toMatchObject({ status: 401, body: problemWith('passkey-needed') });
  expect(reply.headers['set-cookie']).toBeUndefined();
  const headers = { host: 'bench.example.org', 'x-forwarded-proto': 'https' };
  const body = { name: 'Helper', password: HELPER };
  const there = await page.ask('POST', '/api/v1/access/sign-in', { body, headers });
  expect(there).toMatchObject({ status: 202, body: { passkey: { ticket: expect.any(String) } } });
  expect(there.headers['set-cookie']).toBeUndefined();
  const { ticket } = (there.body as { passkey: { ticket: string } }).passkey;
  const response = { clientDataJSON: 'e30', authenticatorData: 'AAAA', signature: 'AAAA' };
  const credential = { id: 'AAAA', rawId: 'AAAA', type: 'public-key', clientExtensionResults: {}, response };
  const answer = await page.ask('POST', '/api/v1/access/sign-in/passkey', { body: { ticket, credential } });
  expect(answer).toMatchObject({ status: 401, body: problemWith('sign-in-failed') });
  access.removePasskey(1);
  expect((await signIn('Helper', HELPER)).status).toBe(200);
});

test('browsers are asked to come back encrypted for 30 days under a host name, never on addresses or plain', async () => {
  const pinned = async (headers: Record<string, string>) =>
    (await page.get('/', headers)).headers['strict-transport-security'];
  const https = { 'x-forwarded-proto': 'https' };
  expect(await pinned({ ...https, host: 'bench.example.org' })).toBe('max-age=2592000');
  expect(await pinned({ ...https, host: 'localhost:8340' })).toBeUndefined();
  expect(await pinned({ ...https, host: '192.0.2.7' })).toBeUndefined();
  expect(await pinned({ host: 'bench.example.org' })).toBeUndefined();
});
