import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { airRecord, packOf, START_MS } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

const MINUTE_MS = 60_000;
let page: Interface;
beforeAll(async () => {
  page = await startInterface();
  // 0.9 °C every minute of the last 30: the probe lay in ice
  const records = Array.from({ length: 31 }, (_, ageMin) => airRecord(0.9, { ageS: (30 - ageMin) * 60 }));
  await page.house.send(packOf(records, { arrivedAtMs: START_MS }));
});
afterAll(() => page.close());
const post = (path: string, body: unknown = {}) => page.ask('POST', path, { body });
const code = ({ body }: { body: unknown }) => (body as { error?: { code?: string } } | null)?.error?.code;
const since = new Date(START_MS - 30 * MINUTE_MS).toISOString();

describe('checks over HTTP', () => {
  test('an ice point of the past half hour is begun, taken, and corrected by −0.9 K, withdrawn and restored', async () => {
    expect(await post('/api/v1/checks', { probeId: 1, kind: 'ice' })).toMatchObject({
      status: 201,
      body: { id: 1, at: 0, steadiness: null },
    });
    expect(await post('/api/v1/checks/1/begin', { since })).toMatchObject({
      status: 200,
      body: { steadiness: { steady: true, reference: 0, uncertainty: 0.1 } },
    });
    expect(await page.get('/api/v1/checks/1')).toMatchObject({ body: { steadiness: { newest: 0.9 } } });
    expect(await post('/api/v1/checks/1/take')).toMatchObject({
      status: 200,
      body: { result: { verdict: 'off', proposal: { gain: 1, offset: -0.9 } } },
    });
    const correction = { offset: -0.9, reason: 'ice point', checkId: 1, from: since };
    expect(await post('/api/v1/probes/1/corrections', correction)).toMatchObject({
      status: 201,
      body: { id: 1, gain: 1, fromMs: START_MS - 30 * MINUTE_MS, by: null },
    });
    expect(await post('/api/v1/corrections/1/withdraw')).toMatchObject({ body: { withdrawnMs: START_MS } });
    expect(await post('/api/v1/corrections/1/restore')).toMatchObject({ body: { withdrawnMs: null } });
    const due = '2027-01-01T00:00:00.000Z';
    expect((await page.ask('PUT', '/api/v1/probes/1/check-due', { body: { due } })).status).toBe(204);
    expect((await page.get('/api/v1/checks')).body).toMatchObject({
      open: [],
      done: [{ id: 1 }],
      probes: [{ probeId: 1, due, inForce: { offset: -0.9 }, told: { value: 0.9 } }],
    });
  });

  test('one that is given up is gone, or done where its probe was away', async () => {
    await post('/api/v1/checks', { probeId: 1, kind: 'ice' });
    expect((await page.ask('DELETE', '/api/v1/checks/2')).status).toBe(204);
    expect((await page.get('/api/v1/checks/2')).status).toBe(404);
  });

  test.each<[string, string, unknown, string]>([
    ['POST', '/api/v1/checks', { probeId: 1, kind: 'oven' }, 'bad-request'],
    ['POST', '/api/v1/checks', { probeId: 1, kind: 'salts', temperatureC: 20 }, 'bad-request'],
    ['POST', '/api/v1/checks', { probeId: 9, kind: 'ice' }, 'not-found'],
    ['POST', '/api/v1/checks/1/take', {}, 'bad-request'],
    ['POST', '/api/v1/checks/77/begin', {}, 'not-found'],
    ['DELETE', '/api/v1/checks/77', undefined, 'not-found'],
    ['GET', '/api/v1/checks/nothing', undefined, 'not-found'],
    ['POST', '/api/v1/probes/1/corrections', { offset: 1 }, 'bad-request'],
    ['POST', '/api/v1/probes/1/corrections', { offset: 1, reason: ' ' }, 'bad-request'],
    ['POST', '/api/v1/probes/1/corrections', { offset: 11, reason: 'x' }, 'bad-request'],
    ['POST', '/api/v1/probes/1/corrections', { offset: 1, reason: 'x', from: 'now' }, 'bad-request'],
    ['POST', '/api/v1/corrections/77/withdraw', {}, 'not-found'],
    ['PUT', '/api/v1/probes/1/check-due', { due: 'soon' }, 'bad-request'],
    ['PUT', '/api/v1/probes/9/check-due', { due: null }, 'not-found'],
  ])('%s %s with %j is %s', async (method, path, body, expected) => {
    const asked = body === undefined ? {} : { body };
    expect(code(await page.ask(method, path, asked))).toBe(expected);
  });
});
