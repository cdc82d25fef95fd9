import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { airRecord, START_MS, TARGET_SHEET_FILE } from '../../support/house.ts';
import { type Interface, PAGE, startInterface } from '../../support/interface.ts';

const PLACE = '/api/v1/places/bench-1';
const ALARM = '/api/v1/alarms/bench-1.air-over-ceiling';
const HOUR = '?from=2026-06-01T09:30:00Z&to=2026-06-01T10:30:00Z';
const startText = new Date(START_MS).toISOString();

let page: Interface;
/** The interface of a house whose bench-1 was at 30 °C for 61 s until now, with 1 pack refused. */
beforeAll(async () => {
  page = await startInterface();
  const { house } = page;
  await house.report([airRecord(30, { ageS: 61 }), airRecord(30), { n: 'air/humidity', u: '%RH', v: 50 }]);
  await house.report([{ n: 'air/temperature', v: 1 }]);
});
afterAll(() => page.close());

describe('places', () => {
  test('the list has the 1 place with what it is like now and its targets', async () => {
    const { status, body, headers } = await page.get('/api/v1/places');
    expect([status, headers['content-type']]).toEqual([200, 'application/json; charset=utf-8']);
    expect(body).toMatchObject({
      places: [
        {
          id: 'bench-1',
          name: 'bench-1',
          kind: 'unstated',
          targets: TARGET_SHEET_FILE.targets,
          now: { probesTelling: 2 },
        },
      ],
    });
  });

  test('1 place comes with the start of its record', async () => {
    const { status, body } = await page.get(PLACE);
    expect(status).toBe(200);
    expect(body).toMatchObject({ id: 'bench-1', recordStart: new Date(START_MS - 61_000).toISOString() });
  });

  test('now has the value, time and state of 30.0 °C over the ceiling', async () => {
    const { body } = await page.get(`${PLACE}/now`);
    const air = { value: 30, unit: '°C', at: startText, state: 'over-ceiling', estimated: false };
    expect(body).toMatchObject({
      placeId: 'bench-1',
      newestAt: startText,
      quantities: { airTemperatureC: air },
    });
  });

  test('exposures of 1 h hold the 61 s covered; its bands and series come beside', async () => {
    const exposures = await page.get(`${PLACE}/exposures${HOUR}`);
    expect(exposures).toMatchObject({
      status: 200,
      body: { placeId: 'bench-1', from: '2026-06-01T09:30:00.000Z', to: '2026-06-01T10:30:00.000Z' },
    });
    expect(exposures.body).toHaveProperty('air.coveredHours', expect.closeTo(61 / 3_600, 9));
    const bands = await page.get(`${PLACE}/bands${HOUR}`);
    expect(bands.body).toMatchObject({
      bands: [{ night: false, ceilingC: 26.7, air: { lowC: 21.1, highC: 26.7 } }],
    });
    const series = await page.get(`${PLACE}/series${HOUR}&quantity=airTemperatureC`);
    expect(series.body).toEqual({
      quantity: 'airTemperatureC',
      unit: '°C',
      points: [
        { t: new Date(START_MS - 61_000).toISOString(), value: 30, min: 30, max: 30 },
        { t: startText, value: 30, min: 30, max: 30 },
      ],
    });
    const thinned = await page.get(`${PLACE}/series${HOUR}&quantity=airTemperatureC&points=1`);
    expect(thinned.body).toMatchObject({ points: [{ t: startText, value: 30, min: 30, max: 30 }] });
  });

  test('a number is explained: what it is, from what, by which formula', async () => {
    const now = await page.get(`${PLACE}/explain?of=now.airVpdKpa`);
    expect(now).toMatchObject({ status: 200, body: { of: 'now.airVpdKpa', unit: 'kPa' } });
    const hours = await page.get(`${PLACE}/explain${HOUR}&of=exposures.air.hoursOverCeiling`);
    expect(hours).toMatchObject({ status: 200, body: { of: 'exposures.air.hoursOverCeiling', unit: 'h' } });
  });

  test('a PATCH changes name, kind and 1 setting and answers with the place', async () => {
    const change = { name: 'Bench one', kind: 'bench', settings: { altitudeM: 450 } };
    const { status, body } = await page.ask('PATCH', PLACE, { body: change });
    expect(status).toBe(200);
    expect(body).toMatchObject({ ...change, settings: { altitudeM: 450, leafOffsetK: null } });
    expect(page.house.store.places.all()).toMatchObject([change]);
  });
});

describe('mist, vents and thermal time', () => {
  const vents = async () => (await page.get(`${PLACE}/vents${HOUR}`)).body as { vents: unknown[] };

  test('a vent logged by hand from 09:40 to 09:50 is listed, and gone once it is deleted', async () => {
    const vent = { from: '2026-06-01T09:40:00Z', to: '2026-06-01T09:50:00Z', note: 'cover off' };
    const logged = await page.ask('POST', `${PLACE}/vents`, { body: vent });
    expect(logged).toMatchObject({ status: 201, body: { id: 1 } });
    expect(await vents()).toMatchObject({
      vents: [{ id: 1, how: 'logged', note: 'cover off', from: '2026-06-01T09:40:00.000Z' }],
      // by hand: shut at 09:50, asked up to 10:30
      hoursSinceVent: expect.closeTo(2 / 3, 9),
    });
    expect(await page.ask('DELETE', `${PLACE}/vents/1`)).toMatchObject({ status: 204, body: null });
    expect(await vents()).toMatchObject({ vents: [], hoursSinceVent: null });
  });

  test.each([
    ['in the year 9999', '9999-01-01T00:00:00Z'],
    ['in 1960', '1960-01-01T00:00:00Z'],
  ])('a vent %s is refused beside its field', async (_name, from) => {
    const { status, body } = await page.ask('POST', `${PLACE}/vents`, { body: { from } });
    expect(status).toBe(400);
    expect(body).toMatchObject({ error: { code: 'bad-request', details: { field: 'from' } } });
  });

  test('without a valve or damp air there are 0 pulses', async () => {
    const { status, body } = await page.get(`${PLACE}/mist${HOUR}`);
    expect(status).toBe(200);
    expect(body).toMatchObject({ placeId: 'bench-1', pulses: 0 });
  });

  test('thermal time of a root zone nobody reads is 0 K·h in 0 covered hours', async () => {
    const { body } = await page.get(`${PLACE}/thermal-time${HOUR}&baseC=15&upperC=28`);
    expect(body).toMatchObject({ baseC: 15, upperC: 28, coveredHours: 0, degreeHours: 0 });
  });
});

describe('targets', () => {
  const warmer = { ...TARGET_SHEET_FILE.targets, air: { ...TARGET_SHEET_FILE.targets.air, ceilingC: 31 } };

  test('a PUT without from holds from now on, and a GET gives it back', async () => {
    expect((await page.get(`${PLACE}/targets`)).body).toEqual(TARGET_SHEET_FILE.targets);
    expect(await page.ask('PUT', `${PLACE}/targets`, { body: warmer })).toMatchObject({
      status: 200,
      body: warmer,
    });
    expect((await page.get(`${PLACE}/targets`)).body).toEqual(warmer);
    const { body } = await page.get(`${PLACE}/bands${HOUR}`);
    expect(body).toMatchObject({
      bands: [
        { ceilingC: 26.7, to: startText },
        { ceilingC: 31, from: startText },
      ],
    });
  });

  test('with a from 30 min ago, in another zone’s clock, exposures from then on are counted against it', async () => {
    const before = (await page.get(`${PLACE}/exposures${HOUR}`)).body;
    expect(before).toHaveProperty('air.hoursOverCeiling', expect.closeTo(61 / 3_600, 9));
    const put = await page.ask('PUT', `${PLACE}/targets`, {
      body: { ...warmer, from: '2026-06-01T11:30:00+02:00' },
    });
    expect(put.status).toBe(200);
    const after = (await page.get(`${PLACE}/exposures${HOUR}`)).body;
    expect(after).toHaveProperty('air.hoursOverCeiling', 0);
  });
});

describe('alarms', () => {
  test('the list has the 1 alarm, by state and by span too', async () => {
    const ids = async (query: string) => {
      const { status, body } = await page.get(`/api/v1/alarms${query}`);
      return [status, (body as { alarms: { id: string }[] }).alarms.map(({ id }) => id)];
    };
    const found = [200, ['bench-1.air-over-ceiling']];
    expect(await ids('')).toEqual(found);
    expect(await ids('?state=unacknowledged')).toEqual(found);
    expect(await ids('?state=normal')).toEqual([200, []]);
    expect(await ids('?from=2026-06-01T09:00:00Z&to=2026-06-01T11:00:00Z')).toEqual(found);
    expect(await ids('?from=2026-06-01T10:00:01Z')).toEqual(found);
    expect(await ids('?to=2026-06-01T11:00:00Z')).toEqual(found);
    expect(await ids('?to=2026-06-01T09:00:00Z')).toEqual([200, []]);
  });

  test('shelved for 30 min, unshelved and acknowledged, it has 4 events, newest first', async () => {
    const shelve = { minutes: 30, reason: 'cover off' };
    const shelved = await page.ask('POST', `${ALARM}/shelve`, { body: shelve });
    expect(shelved).toMatchObject({ status: 200, body: { shelvedReason: 'cover off' } });
    const back = await page.ask('POST', `${ALARM}/unshelve`);
    expect(back).toMatchObject({ status: 200, body: { shelvedUntilMs: null, state: 'unacknowledged' } });
    const seen = await page.ask('POST', `${ALARM}/acknowledge`);
    expect(seen).toMatchObject({ status: 200, body: { state: 'acknowledged', acknowledgedAtMs: START_MS } });
    const { body } = await page.get(`${ALARM}/events`);
    expect((body as { events: { transition: string }[] }).events.map(({ transition }) => transition)).toEqual(
      ['acknowledged', 'unshelved', 'shelved', 'raised'],
    );
  });
});

describe('the house', () => {
  test('refused packs come with code, reason, device and time, and how many there are by code', async () => {
    const { status, body } = await page.get('/api/v1/refused');
    expect(status).toBe(200);
    expect(body).toMatchObject({
      refused: [
        { code: 'unit-missing', device: 'bench-1', time: startText, reason: expect.stringMatching(/unit/) },
      ],
      total: 1,
      byCode: { 'unit-missing': 1 },
    });
  });

  test('probes come with their newest reading, the house with its counts', async () => {
    expect((await page.get('/api/v1/probes')).body).toMatchObject({
      probes: [
        { name: 'air/temperature', placeId: 'bench-1', latest: { value: 30, tMs: START_MS } },
        { name: 'air/humidity', latest: { value: 50 } },
      ],
    });
    expect((await page.get('/api/v1/house')).body).toMatchObject({
      timeZone: 'UTC',
      readings: { received: 3, refused: 1, conflicts: 0 },
      webhook: { set: false, waiting: 0, lastError: null },
    });
  });

  test('a backup is begun with 202, and their list is answered with 200', async () => {
    expect((await page.ask('POST', '/api/v1/backups')).status).toBe(202);
    const answer = { backups: [], running: null, lastError: null, dailyAt: '03:30' };
    expect(await page.get('/api/v1/backups')).toMatchObject({ status: 200, body: answer });
    expect(page.demo.splice(0)).toEqual(['backup']);
  });

  test('the demo is started with 202 and removed with 200', async () => {
    expect((await page.ask('POST', '/api/v1/demo')).status).toBe(202);
    expect((await page.ask('DELETE', '/api/v1/demo')).status).toBe(200);
    expect(page.demo).toEqual(['start', 'remove']);
  });

  test('healthz answers 200 when ready', async () => {
    expect(await page.get('/healthz')).toMatchObject({ status: 200, body: { status: 'ready' } });
  });
});

describe('the page', () => {
  test.each(['/', '/index.html', '/place/bench-1', '/alarms'])(
    '%s is the page, not kept by the browser',
    async (path) => {
      const { status, body, headers } = await page.get(path);
      expect([status, body]).toEqual([200, PAGE]);
      expect(headers['cache-control']).toBe('public, max-age=0');
      expect(headers['content-security-policy']).toContain("default-src 'none'");
      expect(headers).not.toHaveProperty('x-powered-by');
      expect(headers).not.toHaveProperty('strict-transport-security');
    },
  );

  test('its assets are kept for a year', async () => {
    const { status, headers } = await page.get('/assets/page-1.js');
    expect([status, headers['cache-control']]).toEqual([200, 'public, max-age=31536000, immutable']);
  });
});
