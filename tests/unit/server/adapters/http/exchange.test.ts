import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { systemTimers } from '../../../../../server/adapters/system/clock.ts';
import { clockByHand, type Hand } from '../../support/hand.ts';
import { START_MS } from '../../support/house.ts';
import { type Ask, type Interface, startInterface } from '../../support/interface.ts';

const IMPORT = '/api/v1/import?device=logger';
const EXPORT = '/api/v1/places/logger/export';
const CSV = { 'content-type': 'text/csv' };
const iso = (atMs: number) => new Date(atMs).toISOString();

/** Air temperatures a minute apart that end an hour ago. */
function minutes(count: number): string {
  const rows = Array.from({ length: count }, (_, i) => `${iso(START_MS - 3_600_000 - i * 60_000)},20.5`);
  return ['time,air/temperature [°C]', ...rows].join('\n');
}

let page: Interface;
const post = (query: string, raw: string, headers: Ask['headers'] = CSV) =>
  page.ask('POST', IMPORT + query, { raw, headers: headers ?? {} });

/** The daemon's own pauses take their turn by real timers here, as a request does. */
function turningHand(): Hand {
  const hand = clockByHand(START_MS);
  return { ...hand, timers: { ...hand.timers, soon: systemTimers.soon } };
}

beforeAll(async () => {
  page = await startInterface({ hand: turningHand() });
});
afterAll(() => page.close());

describe('POST /api/v1/import', () => {
  test('is a dry run unless told otherwise, then stores 120 readings, and says how it went', async () => {
    expect((await page.get('/api/v1/import')).body).toEqual({ import: null });
    const dry = await post('', minutes(120));
    expect(dry).toMatchObject({ status: 200, body: { dryRun: true, stored: 120, newPlace: 'logger' } });
    expect(page.house.store.places.all()).toEqual([]);
    const real = await post('&dryRun=false', minutes(120));
    expect(real).toMatchObject({ status: 200, body: { dryRun: false, stored: 120 } });
    const { body } = await page.get('/api/v1/import');
    const bytes = new TextEncoder().encode(minutes(120)).length;
    expect(body).toMatchObject({ import: { state: 'done', stored: 120, bytes, totalBytes: bytes } });
  });

  test('takes a file of 1.2 MB, 18 times what any other request may have, and one of SenML by its type', async () => {
    const long = minutes(40_000);
    expect(long.length).toBeGreaterThan(18 * 65_536);
    expect(await post('', long)).toMatchObject({ status: 200, body: { readings: 40_000, repeats: 120 } });
    const pack = JSON.stringify([{ n: 'root/temperature', u: 'Cel', v: 21, t: START_MS / 1_000 - 60 }]);
    const senml = await post('', pack, { 'content-type': 'application/senml+json' });
    expect(senml).toMatchObject({ status: 200, body: { readings: 1, mapping: null } });
  });

  test('takes a mapping in one line or as JSON, a zone, and the answer about a repeated hour', async () => {
    const text = 'when;what\n02.11.2025 01:30;68,5\n';
    const map = encodeURIComponent('when=time local-dmy; what=air/temperature °F');
    const asked = await post(`&zone=America/Halifax&map=${map}`, text);
    expect(asked.body).toMatchObject({
      readings: 0,
      repeatedHour: { rows: 1, taken: null },
      mapping: { decimal: ',' },
    });
    const { mapping } = asked.body as { mapping: object };
    const json = encodeURIComponent(JSON.stringify(mapping));
    const imported = await post(`&map=${json}&repeatedHour=first`, text);
    // IANA, recalled: on the first Sunday of November 02:00 becomes 01:00; the first 01:30 is 3 h behind UTC
    expect(imported.body).toMatchObject({
      readings: 1,
      from: '2025-11-02T04:30:00.000Z',
      repeatedHour: { taken: 'first' },
    });
  });

  test('answers a file that leaves things open with what to say, though not all of it was read', async () => {
    const open = minutes(30_000).replace(' [°C]', '');
    expect(await post('', open)).toMatchObject({
      status: 200,
      body: { rows: 0, undecided: [expect.any(String)] },
    });
  });

  test.each([
    ['&dryRun=perhaps', 'dryRun'],
    ['&as=xml', 'as'],
    ['&repeatedHour=third', 'repeatedHour'],
    ['&map={"time":1}', 'is not right'],
    ['&map={', 'is not JSON'],
    ['&zone=Nowhere', 'IANA'],
    ['x/y', 'can be no device'],
  ])('with %s it is refused with 400', async (query, words) => {
    const answer = await post(query, minutes(1));
    expect(answer).toMatchObject({
      status: 400,
      body: { error: { code: 'bad-request', message: expect.stringContaining(words) } },
    });
  });

  test('from a page of another site it is refused with 403', async () => {
    const answer = await post('&dryRun=false', minutes(1), { ...CSV, origin: 'http://example.org' });
    expect(answer).toMatchObject({ status: 403, body: { error: { code: 'forbidden-origin' } } });
  });
});

describe('GET /api/v1/places/{id}/export', () => {
  test.each([
    ['csv', 'text/csv; charset=utf-8', 'csv'],
    ['ndjson', 'application/x-ndjson', 'ndjson'],
    ['senml', 'application/senml+json', 'senml'],
  ])('as %s it is %s, a file with a safe name', async (as, type, ending) => {
    const { status, headers } = await page.get(`${EXPORT}?as=${as}`);
    expect(status).toBe(200);
    expect(headers['content-type']).toBe(type);
    expect(headers['content-disposition']).toBe(
      `attachment; filename="logger-readings-2026-06-01-2026-06-01.${ending}"`,
    );
    expect(headers['x-content-type-options']).toBe('nosniff');
  });

  test('gives what was imported: a header and 120 rows; of 2 h only those, and exposures beside', async () => {
    const whole = await page.get(EXPORT);
    expect(String(whole.body).trim().split('\r\n')).toHaveLength(121);
    const hours = await page.get(`${EXPORT}?from=2026-06-01T08:00:00Z&to=2026-06-01T09:00:00Z`);
    expect(String(hours.body).trim().split('\r\n')).toHaveLength(61);
    const exposures = await page.get(`${EXPORT}?what=exposures&as=ndjson&by=hour`);
    expect(JSON.parse(String(exposures.body).split('\n')[0] ?? '')).toMatchObject({ placeId: 'logger' });
    expect(String((await page.get(`${EXPORT}?what=alarms`)).body)).toMatch(/^time,placeId/);
  });

  test.each([
    ['?what=secrets', 400, 'bad-request'],
    ['?as=xlsx', 400, 'bad-request'],
    ['?by=week', 400, 'bad-request'],
    ['?what=exposures&as=senml', 400, 'bad-request'],
    ['?from=yesterday', 400, 'bad-request'],
    ['?from=2026-06-01T09:00:00Z&to=2026-06-01T08:00:00Z', 400, 'bad-request'],
  ])('%s is refused with %i %s', async (query, status, code) => {
    expect(await page.get(EXPORT + query)).toMatchObject({ status, body: { error: { code } } });
  });

  test('of a place nobody knows is 404', async () => {
    expect(await page.get('/api/v1/places/nowhere/export')).toMatchObject({ status: 404 });
  });
});
