import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Interface, startInterface } from '../../support/interface.ts';

const OWNER = 'mist on the third bench';
const HOST = 'bench.example.org';
// Addresses of documentation: 198.51.100.0/24, 203.0.113.0/24 (RFC 5737).
const [OUTSIDER, ELSEWHERE] = ['203.0.113.9', '198.51.100.7'];

let behind: Interface;
let plain: Interface;
beforeAll(async () => {
  behind = await startInterface({ trustedProxies: ['127.0.0.1'] });
  plain = await startInterface();
  for (const page of [behind, plain]) {
    await page.ask('PUT', '/api/v1/access/owner', { body: { password: OWNER } });
  }
});
afterAll(async () => {
  await behind.close();
  await plain.close();
});

const signIn = (page: Interface, from: string, password: string) =>
  page.ask('POST', '/api/v1/access/sign-in', {
    body: { name: 'owner', password },
    headers: {
      host: HOST,
      origin: `https://${HOST}`,
      'x-forwarded-for': from,
      'x-forwarded-proto': 'https',
    },
  });

test('behind a trusted proxy that speaks https, the cookie is Secure and the https page is its own', async () => {
  const reply = await signIn(behind, ELSEWHERE, OWNER);
  expect(reply).toMatchObject({ status: 200, body: { encrypted: true } });
  expect(reply.headers['set-cookie']).toEqual([expect.stringMatching(/^__Host-strikewell=.*; Secure$/)]);
  const [row] = behind.house.store.access.sessions().filter(({ address }) => address === ELSEWHERE);
  expect(row?.name).toBe('owner');
});

test('8 wrong passwords of one forwarded address hold up that address, and no other', async () => {
  const statuses = [];
  for (let i = 0; i < 8; i++) statuses.push((await signIn(behind, OUTSIDER, `wrong number ${i}`)).status);
  expect(statuses).toEqual([401, 401, 401, 401, 429, 429, 429, 429]);
  expect((await signIn(behind, ELSEWHERE, OWNER)).status).toBe(200);
});

test('where no proxy is trusted, its headers count for nothing: another origin, and one address for all', async () => {
  expect((await signIn(plain, ELSEWHERE, OWNER)).status).toBe(403);
  for (let i = 0; i < 4; i++) {
    await plain.ask('POST', '/api/v1/access/sign-in', {
      body: { name: 'owner', password: 'wrong wrong wrong' },
      headers: { 'x-forwarded-for': `203.0.113.${i}` },
    });
  }
  const fifth = await plain.ask('POST', '/api/v1/access/sign-in', {
    body: { name: 'owner', password: OWNER },
    headers: { 'x-forwarded-for': '203.0.113.200' },
  });
  expect(fifth.status).toBe(429);
});
