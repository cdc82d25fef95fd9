import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { airRecord, START_MS } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

const HOUR_MS = 3_600_000;
const at = (hours: number) => new Date(START_MS + hours * HOUR_MS).toISOString();
const ORDER = { placeId: 'bench-1', crop: 'Poinsettia', sheetId: 'poinsettia', stuckAt: at(-48), count: 50 };

let page: Interface;
beforeAll(async () => {
  page = await startInterface();
  for (const device of ['bench-1', 'bench-2']) await page.house.report([airRecord(22)], device);
});
afterAll(() => page.close());

const post = (path: string, body: unknown) => page.ask('POST', path, { body });
const patch = (path: string, body: unknown) => page.ask('PATCH', path, { body });
const idOf = (body: unknown) => (body as { readonly id: string }).id;
const begin = async (order: object = {}) =>
  idOf((await post('/api/v1/batches', { ...ORDER, ...order })).body);

describe('a batch over the interface', () => {
  test('holds all that may be written down about it, and what is changed of it', async () => {
    const given = {
      cultivar: 'Early Red',
      stockPlant: 'mother 3',
      cuttingType: 'tip',
      nodes: 3,
      wound: 'none',
      medium: 'peat and perlite 1:1',
      tray: '72',
      position: 'left, by the fan',
      cutHour: 16,
      hormone: 'IBA',
      hormoneStrength: '1,000 ppm',
      note: 'first of the year',
      cutAt: at(-50),
      boxOpenedAt: at(-49),
      boxPlaceId: 'bench-2',
    };
    const made = await post('/api/v1/batches', { ...ORDER, ...given });
    expect(made).toMatchObject({ status: 201, body: { ...ORDER, ...given, sheetVersion: 1, state: 'open' } });
    const id = idOf(made.body);
    const changed = await patch(`/api/v1/batches/${id}`, { note: null, count: 60, stuckAt: at(-47) });
    expect(changed).toMatchObject({
      status: 200,
      body: {
        ...given,
        note: null,
        count: 60,
        stages: [{ n: 1, stage: 'sticking', from: at(-47), to: null }],
      },
    });
    await page.ask('DELETE', `/api/v1/batches/${id}`);
  });

  test('stages, moves and counts are corrected by their number', async () => {
    const id = await begin();
    await post(`/api/v1/batches/${id}/stages`, { stage: 'callusing', from: at(-24) });
    await post(`/api/v1/batches/${id}/stages`, { stage: 'rooting', from: at(-12) });
    await post(`/api/v1/batches/${id}/moves`, { placeId: 'bench-2', from: at(-6) });
    await post(`/api/v1/batches/${id}/counts`, { at: at(-1), looked: 20, rooted: 16 });
    const shown = await page.get(`/api/v1/batches/${id}`);
    expect(shown.body).toMatchObject({
      placeId: 'bench-2',
      stage: 'rooting',
      strike: { share: 0.8, low95: expect.closeTo(0.584, 4), high95: expect.closeTo(0.9193, 4) },
    });
    for (const entry of ['stages/2', 'moves/1', 'counts/1'])
      expect((await page.ask('DELETE', `/api/v1/batches/${id}/${entry}`)).status).toBe(204);
    const left = await page.get(`/api/v1/batches/${id}`);
    expect(left.body).toMatchObject({
      placeId: 'bench-1',
      stages: [
        { n: 1, stage: 'sticking', from: at(-48), to: at(-12) },
        { n: 3, stage: 'rooting', from: at(-12), to: null },
      ],
      strike: null,
    });
    expect((await page.get(`/api/v1/batches/${id}/strike`)).status).toBe(404);
    await page.ask('DELETE', `/api/v1/batches/${id}`);
  });

  test('is due for its next stage by the days of its sheet, and stays in its stage all the same', async () => {
    const id = await begin({ stuckAt: at(-24 * 200) });
    expect((await page.get(`/api/v1/batches/${id}`)).body).toMatchObject({
      stage: 'sticking',
      due: { stage: 'callusing', state: 'late' },
    });
    const fresh = await begin({ stuckAt: at(0) });
    const { body } = await page.get(`/api/v1/batches/${fresh}`);
    expect(['ahead', 'due']).toContain((body as { due: { state: string } }).due.state);
    for (const one of [id, fresh]) await page.ask('DELETE', `/api/v1/batches/${one}`);
  });

  test('deleted it is gone and listed as deleted; restored it is there again', async () => {
    const id = await begin();
    expect((await page.ask('DELETE', `/api/v1/batches/${id}`)).status).toBe(204);
    expect((await page.get(`/api/v1/batches/${id}`)).status).toBe(404);
    expect((await page.ask('DELETE', `/api/v1/batches/${id}`)).status).toBe(404);
    const deleted = await page.get('/api/v1/batches?state=deleted&limit=1');
    expect(deleted.body).toMatchObject({ batches: [{ id, deletedAt: at(0) }] });
    expect((await post(`/api/v1/batches/${id}/restore`, {})).body).toMatchObject({ id, deletedAt: null });
    await page.ask('DELETE', `/api/v1/batches/${id}`);
  });
});

describe('holding and weaning over the interface', () => {
  const step = { days: 2, lowKpa: 0.3, highKpa: 0.6 };
  const plan = { from: at(-24), gateShare: 0.8, steps: [step] };

  test('the holding of a batch, and a plan of weaning that is set, replaced and deleted', async () => {
    const id = await begin({ crop: 'Geranium', boxOpenedAt: at(-50) });
    const path = `/api/v1/batches/${id}`;
    expect((await page.get(`${path}/holding`)).body).toMatchObject({
      hoursFromOpening: 2,
      limits: [{ hours: 4, verdict: 'within' }],
    });
    const put = (body: unknown) => page.ask('PUT', `${path}/weaning`, { body });
    expect(await put(plan)).toMatchObject({ status: 200, body: { plan, verdict: 'under-way' } });
    expect((await put({ ...plan, gateShare: 1 })).body).toMatchObject({ plan: { gateShare: 1 } });
    expect((await page.ask('DELETE', `${path}/weaning`)).status).toBe(204);
    expect((await page.get(`${path}/weaning`)).body).toMatchObject({ plan: null, verdict: null });
    await page.ask('DELETE', path);
  });

  test.each([
    [{ gateShare: 0 }, 'gateShare'],
    [{ steps: [] }, 'steps'],
    [{ steps: Array.from({ length: 13 }, () => step) }, 'steps'],
    [{ steps: [{ ...step, highKpa: 0.3 }] }, 'steps.0.highKpa'],
    [{ steps: [{ ...step, days: 0 }] }, 'steps.0.days'],
    [{ from: at(-72) }, 'from'],
    [{ more: 1 }, ''],
  ])('a plan with %j is refused', async (change, field) => {
    const id = await begin();
    const answer = await page.ask('PUT', `/api/v1/batches/${id}/weaning`, { body: { ...plan, ...change } });
    expect(answer).toMatchObject({ status: 400, body: { error: { details: { field } } } });
    await page.ask('DELETE', `/api/v1/batches/${id}`);
  });
});

describe('what does not fit is refused with the name of the field', () => {
  const counted = { at: at(-1), looked: 10, rooted: 5 };
  test.each([
    ['', { placeId: 'nowhere' }, 'placeId'],
    ['', { sheetId: 'nothing' }, 'sheetId'],
    ['', { stuckAt: at(2) }, 'stuckAt'],
    ['', { stuckAt: 'yesterday' }, 'stuckAt'],
    ['', { count: 0 }, 'count'],
    ['', { count: 2.5 }, 'count'],
    ['', { crop: ' ' }, 'crop'],
    ['', { cutHour: 24 }, 'cutHour'],
    ['', { cutAt: at(9) }, 'cutAt'],
    ['', { cutAt: at(-47) }, 'cutAt'],
    ['', { boxOpenedAt: at(-47) }, 'boxOpenedAt'],
    ['', { cutAt: at(-49), boxOpenedAt: at(-50) }, 'boxOpenedAt'],
    ['', { boxPlaceId: 'nowhere' }, 'boxPlaceId'],
    ['', { nodes: -1 }, 'nodes'],
    ['', { more: 1 }, ''],
    ['/stages', { stage: 'flowering', from: at(-1) }, 'stage'],
    ['/stages', { stage: 'rooting', from: at(-49) }, 'from'],
    ['/stages', { stage: 'rooting', from: at(1) }, 'from'],
    ['/moves', { placeId: 'bench-1', from: at(-1) }, 'placeId'],
    ['/moves', { placeId: 'bench-2', from: at(-48) }, 'from'],
    ['/moves', { placeId: 'nowhere', from: at(-1) }, 'placeId'],
    ['/counts', { ...counted, rooted: 11 }, 'rooted'],
    ['/counts', { ...counted, callused: 11 }, 'callused'],
    ['/counts', { ...counted, lost: [{ cause: 'rot', n: 6 }] }, 'rooted'],
    ['/counts', { ...counted, looked: 51 }, 'looked'],
    ['/counts', { ...counted, at: at(-50) }, 'at'],
    ['/counts', { ...counted, lost: [{ cause: 'rot', n: 0 }] }, 'lost.0.n'],
  ])('POST …%s %o: %s', async (path, body, field) => {
    const id = await begin();
    const whole = path === '' ? { ...ORDER, ...body } : body;
    const answer = await post(path === '' ? '/api/v1/batches' : `/api/v1/batches/${id}${path}`, whole);
    expect(answer).toMatchObject({
      status: 400,
      body: { error: { code: 'bad-request', details: { field } } },
    });
    await page.ask('DELETE', `/api/v1/batches/${id}`);
  });

  test.each([
    [{ closedAt: at(-1) }, 'closedAt'],
    [{ state: 'closed', closedAt: at(-49) }, 'closedAt'],
    [{ state: 'closed', closedAt: at(2) }, 'closedAt'],
    [{ stuckAt: at(-10) }, 'stuckAt'],
    [{ sheetFrom: at(-1) }, 'sheetFrom'],
    [{ sheetId: 'nothing' }, 'sheetId'],
  ])('PATCH %o: %s', async (body, field) => {
    const id = await begin();
    await post(`/api/v1/batches/${id}/stages`, { stage: 'rooting', from: at(-12) });
    expect(await patch(`/api/v1/batches/${id}`, body)).toMatchObject({
      status: 400,
      body: { error: { details: { field } } },
    });
    await page.ask('DELETE', `/api/v1/batches/${id}`);
  });

  test.each([
    ['GET', '/api/v1/batches/999', 404],
    ['GET', '/api/v1/batches/x', 404],
    ['DELETE', '/api/v1/batches/999/stages/1', 404],
    ['GET', '/api/v1/compare?batches=1', 400],
    ['GET', '/api/v1/compare?batches=1,1', 400],
    ['GET', '/api/v1/compare?batches=998,999', 404],
    ['GET', '/api/v1/compare', 400],
    ['GET', '/api/v1/places/nowhere/leading', 404],
  ])('%s %s: %i', async (method, path, status) => {
    expect((await page.ask(method, path)).status).toBe(status);
  });

  test('the first stage and the last leader cannot be taken away by their names', async () => {
    const id = await begin();
    expect((await page.ask('DELETE', `/api/v1/batches/${id}/stages/1`)).status).toBe(400);
    expect((await page.ask('DELETE', `/api/v1/batches/${id}/stages/7`)).status).toBe(404);
    const elsewhere = await page.ask('PUT', '/api/v1/places/bench-2/leading', { body: { batchId: id } });
    expect(elsewhere).toMatchObject({ status: 400, body: { error: { details: { field: 'batchId' } } } });
    const here = await page.ask('PUT', '/api/v1/places/bench-1/leading', { body: { batchId: id } });
    expect(here).toMatchObject({ status: 200, body: { batchId: id, chosen: true } });
    await page.ask('DELETE', `/api/v1/batches/${id}`);
  });
});

test('2,000 random orders are kept or refused; none breaks anything, and the answers fit their schemas', async () => {
  const id = await begin();
  const hour = fc.integer({ min: -60, max: 3 }).map(at);
  const odd = fc.oneof(fc.jsonValue(), fc.constantFrom('', 'x'.repeat(90), '\u0000', -1, 1e300, null));
  const some = <T>(fitting: fc.Arbitrary<T>) =>
    fc.oneof({ weight: 9, arbitrary: fitting }, { weight: 1, arbitrary: odd });
  const place = fc.constantFrom('bench-1', 'bench-2', 'nowhere');
  const number = fc.integer({ min: 0, max: 60 });
  const bodies = {
    '/stages': fc.record({
      stage: some(fc.constantFrom('sticking', 'callusing', 'rooting', 'toning')),
      from: some(hour),
    }),
    '/moves': fc.record({ placeId: some(place), from: some(hour) }),
    '/counts': fc.record(
      {
        at: some(hour),
        looked: some(number),
        rooted: some(number),
        callused: some(number),
        lost: some(fc.array(fc.record({ cause: fc.constant('rot'), n: number }), { maxLength: 2 })),
      },
      { requiredKeys: ['at', 'looked', 'rooted'] },
    ),
  };
  const change = fc.record(
    {
      crop: some(fc.constant('Coleus')),
      count: some(number),
      stuckAt: some(hour),
      sheetId: some(fc.constantFrom('poinsettia', 'nothing')),
      sheetFrom: some(hour),
      state: some(fc.constantFrom('open', 'closed')),
      closedAt: some(hour),
      note: odd,
      cutAt: some(hour),
    },
    { requiredKeys: [] },
  );
  const lead = fc.record({ batchId: some(fc.constantFrom(id, null, '999')), from: some(hour) });
  const order = fc.oneof(
    ...Object.entries(bodies).map(([path, body]) =>
      body.map((sent) => ['POST', `/api/v1/batches/${id}${path}`, sent as unknown] as const),
    ),
    change.map((sent) => ['PATCH', `/api/v1/batches/${id}`, sent as unknown] as const),
    lead.map((sent) => ['PUT', '/api/v1/places/bench-1/leading', sent as unknown] as const),
    fc
      .tuple(fc.constantFrom('stages', 'moves', 'counts'), fc.nat({ max: 6 }))
      .map(([what, n]) => ['DELETE', `/api/v1/batches/${id}/${what}/${n}`, undefined] as const),
  );
  const seen = new Map<number, number>();
  await fc.assert(
    fc.asyncProperty(order, async ([method, path, body]) => {
      const { status } = await page.ask(method, path, body === undefined ? {} : { body });
      seen.set(status, (seen.get(status) ?? 0) + 1);
      expect([200, 201, 204, 400, 404]).toContain(status);
    }),
    { numRuns: 2_000 },
  );
  expect(seen.get(201)).toBeGreaterThan(100);
  expect(seen.get(400)).toBeGreaterThan(100);
  for (const path of ['', '/exposures', '/thermal-time'])
    expect((await page.get(`/api/v1/batches/${id}${path}`)).status).toBe(200);
  await page.ask('DELETE', `/api/v1/batches/${id}`);
}, 120_000);
