import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { airRecord } from '../../support/house.ts';
import { type Interface, PAGE, type Reply, startInterface } from '../../support/interface.ts';
import { OTHER_SPELLINGS } from '../../support/other-spellings.ts';
import { problemWith } from '../../support/problem.ts';

const OWNER = 'mist on the third bench';
const HELPER = 'vents open before noon';
const WALL = 'the screen by the door';
const PLACE = '/api/v1/places/bench-1';
const ALARM = '/api/v1/alarms/bench-1.air-over-ceiling';
const DAY_MS = 86_400_000;

let page: Interface;
const cookies: Record<string, string> = {};

/** The cookie an answer sets, as a browser would send it back. */
function cookieOf({ headers }: Reply): string {
  const [first = ''] = (headers['set-cookie'] ?? []) as string[];
  return first.split(';')[0] ?? '';
}

const as = (who: string, method: string, path: string, body?: unknown) =>
  page.ask(method, path, { body, headers: { cookie: cookies[who] ?? '' } });
const signIn = (name: string, password: string, headers: Record<string, string> = {}) =>
  page.ask('POST', '/api/v1/access/sign-in', { body: { name, password }, headers });

beforeAll(async () => {
  page = await startInterface();
  await page.house.report([airRecord(29)]);
  page.house.hand.pass(61_000);
  await page.house.report([airRecord(29)]);
});
afterAll(() => page.close());

test('before a password is set nobody is asked, and no account can be added', async () => {
  const may = expect.arrayContaining(['post /api/v1/demo']);
  expect((await page.get('/api/v1/access')).body).toEqual({
    closed: false,
    who: null,
    may,
    encrypted: false,
  });
  const account = { name: 'Wall', role: 'look', password: WALL };
  expect(await page.ask('POST', '/api/v1/access/accounts', { body: account })).toMatchObject({
    status: 400,
    body: problemWith('bad-request'),
  });
  expect((await page.get(PLACE)).status).toBe(200);
});

test('a password of 9 characters is refused, and not repeated in the answer', async () => {
  const reply = await page.ask('PUT', '/api/v1/access/owner', { body: { password: 'ninechars' } });
  expect(reply).toMatchObject({ status: 400, body: problemWith('bad-request') });
  expect(JSON.stringify(reply.body)).toContain('at least 10 characters');
  expect(JSON.stringify(reply.body)).not.toContain('ninechars');
});

test('the first owner password sets a cookie that no script and no other site can use, and pages are looked at again', async () => {
  const reply = await page.ask('PUT', '/api/v1/access/owner', { body: { password: OWNER } });
  expect(reply).toMatchObject({ status: 200, body: { closed: true, who: { name: 'owner', role: 'own' } } });
  // 90 days are 7,776,000 s; 43 characters of base64url hold 32 bytes
  expect(reply.headers['set-cookie']).toEqual([
    expect.stringMatching(/^strikewell=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict; Max-Age=7776000$/),
  ]);
  expect(page.demo).toContain('recheck');
  cookies['owner'] = cookieOf(reply);
});

test('what is kept holds neither the password nor the id of the session, but scrypt with N 32768, r 8, p 3 and a salt', () => {
  const { access } = page.house.store;
  const [owner] = access.accounts();
  expect(owner?.password).toMatch(/^scrypt\$32768\$8\$3\$[\w-]{22}\$[\w-]{43}$/);
  const token = cookies['owner']?.split('=')[1] ?? '';
  expect(access.sessionBy(token)).toBeNull();
  expect(JSON.stringify([access.accounts(), access.sessions()])).not.toContain(OWNER);
});

test('a second first password is refused also to the owner', async () => {
  const reply = await as('owner', 'PUT', '/api/v1/access/owner', { password: 'another one, longer' });
  expect(reply).toMatchObject({ status: 400, body: problemWith('bad-request') });
});

describe('without a session', () => {
  test.each([
    ['GET', PLACE],
    ['GET', '/api/v1/openapi.json'],
    ['GET', '/api/v1/nowhere'],
    ['GET', '/API/v1/places'],
    ['HEAD', '/api/v1/places'],
    ['OPTIONS', '/api/v1/places'],
    ['GET', '/api/v1/places/bench-1/export'],
    ['POST', '/api/v1/import?device=sill'],
    ['POST', `${ALARM}/acknowledge`],
    ['PUT', '/api/v1/access/owner'],
    ['DELETE', '/api/v1/demo'],
  ])('%s %s is refused with sign-in-needed', async (method, path) => {
    const reply = await page.ask(method, path);
    expect(reply.status).toBe(401);
    if (method !== 'HEAD') expect(reply.body).toEqual(problemWith('sign-in-needed'));
  });

  test.each(OTHER_SPELLINGS)('no other spelling of an address answers anything: %s', async (path) => {
    const reply = await page.get(path);
    // the instance of a problem is the address that was asked for
    const answer = typeof reply.body === 'object' ? { ...reply.body, instance: null } : reply.body;
    expect(JSON.stringify(answer)).not.toContain('bench-1');
    // the page itself answers every address that is none of the interface's
    if (reply.status === 200) expect(reply.body).toBe(PAGE);
    else expect([401, 403, 404]).toContain(reply.status);
  });

  test('a made-up cookie is none; /healthz and the page itself answer, with a strict policy and no contents', async () => {
    const headers = { cookie: 'strikewell=AAAA; __Host-strikewell=AAAA' };
    expect((await page.get(PLACE, headers)).status).toBe(401);
    expect((await page.get('/healthz')).status).toBe(200);
    const shell = await page.get('/');
    expect(shell.status).toBe(200);
    expect(shell.headers['content-security-policy']).toContain("default-src 'none';script-src 'self'");
    const may = expect.not.arrayContaining(['get /api/v1/places']);
    const answer = { closed: true, who: null, may, encrypted: false };
    expect((await page.get('/api/v1/access')).body).toEqual(answer);
  });

  test('a wrong password and a name nobody has get the same answer, sign-in-failed', async () => {
    const answers = [await signIn('owner', 'wrong wrong wrong'), await signIn('nobody', OWNER)];
    for (const reply of answers) {
      expect(reply).toMatchObject({ status: 401, body: problemWith('sign-in-failed') });
      expect(reply.headers['set-cookie']).toBeUndefined();
    }
    expect(answers[0]?.body).toEqual(answers[1]?.body);
  });

  test('text that is no JSON is refused without being repeated', async () => {
    const reply = await page.ask('POST', '/api/v1/access/sign-in', { raw: `{"password": ${OWNER}` });
    expect(reply).toMatchObject({ status: 400, body: problemWith('bad-request') });
    expect(JSON.stringify(reply.body)).not.toContain('mist');
  });
});

test('the owner adds an account that tends and one that looks; a name that is there is refused', async () => {
  const add = (name: string, role: string, password: string) =>
    as('owner', 'POST', '/api/v1/access/accounts', { name, role, password });
  expect((await add('Helper', 'tend', HELPER)).status).toBe(201);
  expect((await add('Wall', 'look', WALL)).status).toBe(201);
  expect(await add('helper', 'own', HELPER)).toMatchObject({ status: 400, body: problemWith('bad-request') });
  cookies['tend'] = cookieOf(await signIn('Helper', HELPER));
  cookies['look'] = cookieOf(await signIn('wall', WALL));
  const { body } = await as('owner', 'GET', '/api/v1/access/accounts');
  expect(body).toMatchObject({
    accounts: [{ name: 'owner' }, { name: 'Helper', role: 'tend' }, { name: 'Wall' }],
  });
  expect(JSON.stringify(body)).not.toContain('scrypt');
});

describe('by role', () => {
  const vent = { from: '2026-06-01T09:00:00Z', to: '2026-06-01T10:00:00Z' };
  test.each([
    ['GET', PLACE, undefined, { look: 200, tend: 200, owner: 200 }],
    ['POST', `${PLACE}/vents`, vent, { look: 403, tend: 201, owner: 201 }],
    ['PATCH', PLACE, { name: 'Bench' }, { look: 403, tend: 403, owner: 200 }],
    ['GET', '/api/v1/access/accounts', undefined, { look: 403, tend: 403, owner: 200 }],
    ['POST', '/api/v1/backups', undefined, { look: 403, tend: 403, owner: 202 }],
    ['GET', '/api/v1/new-thing', undefined, { look: 403, tend: 403, owner: 403 }],
  ] as const)('%s %s %j answers %j', async (method, path, body, expected) => {
    const statuses: Record<string, number> = {};
    for (const who of ['look', 'tend', 'owner']) statuses[who] = (await as(who, method, path, body)).status;
    expect(statuses).toEqual(expected);
  });

  test('who may not is answered not-allowed, with the role it needs', async () => {
    const reply = await as('look', 'POST', `${ALARM}/acknowledge`);
    expect(reply).toMatchObject({ status: 403, body: problemWith('not-allowed') });
    expect(JSON.stringify(reply.body)).toContain('needs the role tend');
  });
});

test('who acknowledged and who shelved stands in the record by name', async () => {
  expect((await as('tend', 'POST', `${ALARM}/acknowledge`)).status).toBe(200);
  const shelve = { minutes: 60, reason: 'shade is going up' };
  expect((await as('owner', 'POST', `${ALARM}/shelve`, shelve)).status).toBe(200);
  const alarm = page.house.store.alarms.all().find(({ id }) => ALARM.endsWith(id));
  expect(alarm).toMatchObject({ acknowledgedBy: 'Helper', shelved: { by: 'owner' } });
});

test('with a page of another site behind it even the owner is refused, with forbidden-origin', async () => {
  const headers = { cookie: cookies['owner'] ?? '', origin: 'http://127.0.0.1:1' };
  expect(await page.ask('DELETE', '/api/v1/demo', { headers })).toMatchObject({
    status: 403,
    body: problemWith('forbidden-origin'),
  });
  expect(page.demo).not.toContain('remove');
});

test('once signing in is asked for, the page may be reached under any name, from that name’s page only', async () => {
  const host = 'bench.example.org:8340';
  const from = (origin: string) =>
    page.get(PLACE, { host, origin, cookie: cookies['owner'] ?? '' }).then(({ status }) => status);
  expect(await from(`http://${host}`)).toBe(200);
  expect(await from('http://elsewhere.example.org')).toBe(403);
});

test('each sees its own sessions and the owner all 3; what another holds cannot be ended, and ending one’s own ends it', async () => {
  type Row = { id: number; name: string; own: boolean };
  const rows = async (who: string) =>
    (await as(who, 'GET', '/api/v1/access/sessions')).body as { sessions: Row[] };
  expect((await rows('look')).sessions.map(({ name, own }) => ({ name, own }))).toEqual([
    { name: 'Wall', own: true },
  ]);
  const all = (await rows('owner')).sessions;
  expect(all.map(({ name }) => name).toSorted()).toEqual(['Helper', 'Wall', 'owner']);
  const ownersId = all.find(({ name }) => name === 'owner')?.id;
  expect((await as('look', 'DELETE', `/api/v1/access/sessions/${ownersId}`)).status).toBe(404);
  const wallsId = all.find(({ name }) => name === 'Wall')?.id;
  expect((await as('owner', 'DELETE', `/api/v1/access/sessions/${wallsId}`)).status).toBe(204);
  expect((await as('look', 'GET', PLACE)).status).toBe(401);
});

test('a new password needs the current one, ends the other sessions of the account and keeps this one', async () => {
  const second = cookieOf(await signIn('Helper', HELPER));
  const change = (current: string) =>
    as('tend', 'PUT', '/api/v1/access/password', { current, password: 'caps off at half past' });
  expect(await change('not the current')).toMatchObject({ status: 401, body: problemWith('sign-in-failed') });
  expect((await change(HELPER)).status).toBe(200);
  expect((await as('tend', 'GET', PLACE)).status).toBe(200);
  expect((await page.get(PLACE, { cookie: second })).status).toBe(401);
  expect((await signIn('Helper', HELPER)).status).toBe(401);
});

test('the only owner is neither removed nor given less; another account loses its sessions with a new password', async () => {
  const path = '/api/v1/access/accounts/1';
  for (const reply of [
    await as('owner', 'DELETE', path),
    await as('owner', 'PATCH', path, { role: 'look' }),
  ]) {
    expect(reply).toMatchObject({ status: 400, body: problemWith('bad-request') });
  }
  const helper = '/api/v1/access/accounts/2';
  expect((await as('owner', 'PATCH', helper, { password: 'forgotten, made anew' })).status).toBe(200);
  expect((await as('tend', 'GET', PLACE)).status).toBe(401);
  expect((await as('owner', 'DELETE', helper)).status).toBe(204);
  expect((await signIn('Helper', 'forgotten, made anew')).status).toBe(401);
});

test('8 wrong passwords lead to 429 with Retry-After, and the owner who is signed in goes on', async () => {
  const statuses = [];
  for (let i = 0; i < 8; i++) statuses.push(await signIn('owner', `wrong number ${i}`));
  const last = statuses.at(-1);
  expect(last).toMatchObject({ status: 429, body: problemWith('too-many-attempts') });
  expect(Number(last?.headers['retry-after'])).toBeGreaterThan(0);
  expect((await as('owner', 'GET', PLACE)).status).toBe(200);
});

test('the secret of devices is shown once and kept as a fingerprint', async () => {
  const made = await as('owner', 'PUT', '/api/v1/access/device-login', { name: 'bench-devices' });
  const { secret } = made.body as { secret: string };
  expect(secret).toMatch(/^[\w-]{43}$/);
  const answer = await as('owner', 'GET', '/api/v1/access/device-login');
  expect(answer.body).toEqual({ deviceLogin: { name: 'bench-devices', createdAt: expect.any(String) } });
  expect(JSON.stringify(page.house.store.access.deviceLogin())).not.toContain(secret);
});

test('signing out ends the session at once; one unused for 14 days ends by itself', async () => {
  page.house.hand.pass(3_700_000);
  const again = cookieOf(await signIn('owner', OWNER));
  expect((await page.ask('POST', '/api/v1/access/sign-out', { headers: { cookie: again } })).status).toBe(
    200,
  );
  expect((await page.get(PLACE, { cookie: again })).status).toBe(401);
  expect((await as('owner', 'GET', PLACE)).status).toBe(200);
  const { access } = page.house.store;
  const [session] = access.sessions().filter(({ name }) => name === 'owner');
  const aged = (days: number) => {
    access.seen(session?.id ?? 0, page.house.hand.clock.nowMs() - days * DAY_MS);
    return as('owner', 'GET', PLACE);
  };
  expect((await aged(13.9)).status).toBe(200);
  expect((await aged(14)).status).toBe(401);
});

test('no password, secret or session id stands in what the daemon logged or in any answer’s record', () => {
  const said = JSON.stringify([page.house.log.lines, page.house.sent, page.house.published]);
  for (const word of [OWNER, HELPER, WALL, cookies['owner']?.split('=')[1] ?? '']) {
    expect(word.length).toBeGreaterThan(10);
    expect(said).not.toContain(word);
  }
});
