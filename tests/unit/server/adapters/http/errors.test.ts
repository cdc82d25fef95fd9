import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { MAX_BODY_BYTES, startHttp } from '../../../../../server/adapters/http/app.ts';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { failingStore } from '../../support/failing-store.ts';
import { airRecord, databaseFile, START_MS, TARGET_SHEET_FILE } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

const PLACE = '/api/v1/places/bench-1';
const ALARM = '/api/v1/alarms/bench-1.air-over-ceiling';
const HOUR = 'from=2026-06-01T09:30:00Z&to=2026-06-01T10:30:00Z';

const failing = failingStore(openStore({ file: databaseFile(), nowMs: START_MS }));
let page: Interface;
beforeAll(async () => {
  page = await startInterface({ store: failing.store });
  await page.house.report([airRecord(30, { ageS: 61 }), airRecord(30)]);
});
afterAll(() => page.close());

/** What every error looks like. */
const error = (code: string, given: object = {}) => ({
  error: { code, message: expect.any(String), details: expect.any(Object), ...given },
});

describe('404 not-found', () => {
  test.each([
    ['GET', '/api/v1/places/nowhere'],
    ['GET', '/api/v1/places/nowhere/now'],
    ['GET', '/api/v1/places/nowhere/targets'],
    ['GET', `/api/v1/places/nowhere/exposures?${HOUR}`],
    ['GET', `/api/v1/places/nowhere/bands?${HOUR}`],
    ['GET', `/api/v1/places/nowhere/series?${HOUR}&quantity=airTemperatureC`],
    ['GET', '/api/v1/places/nowhere/explain?of=now.airVpdKpa'],
    ['GET', `${PLACE}/explain?${HOUR}&of=exposures.air.luck`],
    ['GET', `/api/v1/places/nowhere/mist?${HOUR}`],
    ['GET', `/api/v1/places/nowhere/vents?${HOUR}`],
    ['GET', `/api/v1/places/nowhere/thermal-time?${HOUR}&baseC=15&upperC=28`],
    ['DELETE', `${PLACE}/vents/1`],
    ['DELETE', `${PLACE}/vents/first`],
    ['GET', '/api/v1/alarms/nothing/events'],
    ['POST', '/api/v1/alarms/nothing/acknowledge'],
    ['POST', '/api/v1/alarms/nothing/unshelve'],
    ['GET', '/api/v1/nothing'],
    ['DELETE', '/api/v1/places'],
    ['GET', '/api/v2/places'],
  ])('%s %s', async (method, path) => {
    expect(await page.ask(method, path)).toMatchObject({ status: 404, body: error('not-found') });
  });

  test('with a body too: the 3 orders that take one', async () => {
    const asked = [
      page.ask('PATCH', '/api/v1/places/nowhere', { body: { name: 'x' } }),
      page.ask('PUT', '/api/v1/places/nowhere/targets', { body: TARGET_SHEET_FILE.targets }),
      page.ask('POST', '/api/v1/alarms/nothing/shelve', { body: { minutes: 1, reason: 'x' } }),
    ];
    for (const reply of await Promise.all(asked)) {
      expect(reply).toMatchObject({ status: 404, body: error('not-found') });
    }
  });
});

describe('400 bad-request names the field', () => {
  test.each([
    [`${PLACE}/exposures`, 'from', '"from" must be an RFC 3339 time'],
    [`${PLACE}/exposures?from=2026-06-01T09:30:00Z`, 'to', 'it is missing'],
    [`${PLACE}/exposures?from=2026-06-01&to=2026-06-02`, 'from', 'it is "2026-06-01"'],
    [`${PLACE}/exposures?from=2026-06-01T09:30:00&to=x`, 'from', 'with an offset'],
    [`${PLACE}/exposures?from=2026-13-01T09:30:00Z&to=x`, 'from', 'RFC 3339'],
    [`${PLACE}/bands?${HOUR}&from=2026-06-01T09:30:00Z`, 'from', 'RFC 3339'],
    [`${PLACE}/series?${HOUR}`, 'quantity', 'must be one of rootZoneTemperatureC'],
    [`${PLACE}/series?${HOUR}&quantity=toString`, 'quantity', 'must be one of'],
    [`${PLACE}/series?${HOUR}&quantity=airTemperatureC&points=0`, 'points', 'from 1 to 10000'],
    [`${PLACE}/series?${HOUR}&quantity=airTemperatureC&points=10001`, 'points', 'from 1 to 10000'],
    [`${PLACE}/series?${HOUR}&quantity=airTemperatureC&points=1.5`, 'points', 'a whole number'],
    [`${PLACE}/explain`, 'of', 'expected now.<quantity>'],
    [`${PLACE}/explain?of=now.luck`, 'of', 'expected now.<quantity>'],
    [`${PLACE}/mist`, 'from', 'it is missing'],
    [`${PLACE}/vents`, 'from', 'it is missing'],
    [`${PLACE}/thermal-time?${HOUR}&upperC=28`, 'baseC', 'from -30 to 60 °C'],
    [`${PLACE}/thermal-time?${HOUR}&baseC=15&upperC=61`, 'upperC', 'from -30 to 60 °C'],
    [`${PLACE}/thermal-time?${HOUR}&baseC=15&upperC=15`, 'upperC', 'must lie above'],
    [`${PLACE}/thermal-time?${HOUR}&baseC=21&optimumC=28&stopC=28`, 'stopC', 'must lie above'],
    ['/api/v1/alarms?state=loud', 'state', 'must be one of normal, unacknowledged'],
    ['/api/v1/alarms?from=yesterday', 'from', 'RFC 3339'],
  ])('GET %s: %s', async (path, field, words) => {
    const { status, body } = await page.get(path);
    expect(status).toBe(400);
    expect(body).toMatchObject(
      error('bad-request', { message: expect.stringContaining(words), details: { field } }),
    );
  });

  test.each([
    [`${PLACE}/exposures?from=2026-06-02T00:00:00Z&to=2026-06-01T00:00:00Z`],
    [`${PLACE}/exposures?from=2026-06-01T00:00:00Z&to=2026-06-01T00:00:00Z`],
    [`${PLACE}/series?quantity=airTemperatureC&from=2020-01-01T00:00:00Z&to=2026-01-01T00:00:00Z`],
    ['/api/v1/alarms?from=2026-06-02T00:00:00Z&to=2026-06-01T00:00:00Z'],
  ])('GET %s: an impossible span', async (path) => {
    expect(await page.get(path)).toMatchObject({
      status: 400,
      body: error('bad-request', { message: expect.stringContaining('`from` before `to`') }),
    });
  });

  const { targets } = TARGET_SHEET_FILE;
  test.each([
    ['PUT', `${PLACE}/targets`, { ...targets, dayStart: '6:00' }, 'dayStart'],
    ['PUT', `${PLACE}/targets`, { ...targets, nightStart: targets.dayStart }, 'nightStart'],
    ['PUT', `${PLACE}/targets`, { ...targets, air: { ...targets.air, ceilingC: 61 } }, 'air.ceilingC'],
    ['PUT', `${PLACE}/targets`, { ...targets, vpd: { lowKpa: 0.5, highKpa: 0.1 } }, 'vpd'],
    ['PUT', `${PLACE}/targets`, { ...targets, from: 'now' }, 'field'],
    ['PUT', `${PLACE}/targets`, { ...targets, ceiling: 1 }, 'body'],
    ['PATCH', PLACE, { name: '' }, 'name'],
    ['PATCH', PLACE, { kind: 'shed' }, 'kind'],
    ['PATCH', PLACE, { settings: { maxGapMs: 1 } }, 'settings.maxGapMs'],
    ['PATCH', PLACE, { id: 'other' }, 'body'],
    ['POST', `${PLACE}/vents`, {}, 'from'],
    ['POST', `${PLACE}/vents`, { from: 'noon' }, 'field'],
    ['POST', `${PLACE}/vents`, { from: '2026-06-01T10:00:00Z', to: '2026-06-01T09:00:00Z' }, 'field'],
    ['POST', `${ALARM}/shelve`, { minutes: 0, reason: 'x' }, 'minutes'],
    ['POST', `${ALARM}/shelve`, { minutes: 121, reason: 'x' }, 'field'],
    ['POST', `${ALARM}/shelve`, { minutes: 5 }, 'reason'],
  ])('%s %s with %j: %s', async (method, path, body, field) => {
    const reply = await page.ask(method, path, { body });
    expect(reply).toMatchObject({ status: 400, body: error('bad-request') });
    expect(Object.keys((reply.body as { error: { details: object } }).error.details)).toContain(field);
  });

  test.each([
    ['cut off', '{"name":"x"'],
    ['a text', '"x"'],
    ['a list', '[]'],
    ['of 65537 bytes', `{"name":"${'x'.repeat(MAX_BODY_BYTES - 10)}"}`],
  ])('a body that is %s', async (_what, raw) => {
    const put = await page.ask('PUT', `${PLACE}/targets`, { raw });
    const patch = await page.ask('PATCH', PLACE, { raw });
    for (const reply of [put, patch])
      expect(reply).toMatchObject({ status: 400, body: error('bad-request') });
  });

  test('an address with a broken escape', async () => {
    expect(await page.get('/api/v1/places/%E0%A4%A')).toMatchObject({
      status: 400,
      body: error('bad-request'),
    });
  });
});

describe('403 forbidden-origin', () => {
  const paths = ['/', '/api/v1/places', '/api/v1/openapi.json', '/api/v1/nothing'];

  test.each(['evil.example', 'localhost.evil.example', '127.0.0.1.evil.example', '192.168.1.4:8340'])(
    'for the host "%s"',
    async (host) => {
      for (const path of paths) {
        expect(await page.get(path, { host })).toMatchObject({
          status: 403,
          body: error('forbidden-origin'),
        });
      }
    },
  );

  test.each([
    'http://evil.example',
    'null',
    'https://127.0.0.1:1',
    'http://127.0.0.1:1',
    'http://localhost:1',
  ])('for a page from %s, which changes nothing', async (origin) => {
    const headers = { origin, host: '127.0.0.1:8340' };
    const reply = await page.ask('PATCH', PLACE, { body: { name: 'taken over' }, headers });
    expect(reply).toMatchObject({ status: 403, body: error('forbidden-origin') });
    expect(page.house.daemon.queries.place('bench-1').name).toBe('bench-1');
  });

  test.each(['127.0.0.1:8340', 'localhost:8340', 'LOCALHOST', '[::1]:8340', '127.0.0.1'])(
    'not for the page served at %s',
    async (host) => {
      expect((await page.get('/api/v1/places', { host, origin: `http://${host}` })).status).toBe(200);
      expect((await page.get('/api/v1/places', { host })).status).toBe(200);
    },
  );
});

test('503 store-failed when the disk is full, and nothing has changed', async () => {
  failing.failAt(1);
  const reply = await page.ask('PATCH', PLACE, { body: { name: 'Bench' } });
  failing.mend();
  expect(reply).toMatchObject({ status: 503, body: error('store-failed') });
  expect((await page.get(PLACE)).body).toMatchObject({ name: 'bench-1' });
});

test('a port somebody listens on is refused with port-in-use, naming it and the remedy', async () => {
  await expect(startHttp({ ...page.deps })).rejects.toMatchObject({
    code: 'port-in-use',
    message: expect.stringMatching(
      new RegExp(`STRIKEWELL_HTTP_PORT ${page.port} is in use.*choose another port`),
    ),
  });
});

test('an address of another machine is refused with bad-setting', async () => {
  // 192.0.2.0/24 is kept for documentation (RFC 5737): no machine has an address in it
  await expect(startHttp({ ...page.deps, host: '192.0.2.1' })).rejects.toMatchObject({ code: 'bad-setting' });
});
