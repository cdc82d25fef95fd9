import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { OWN_FIGURE, type Sheet, sheetSchema } from '../../../../../shared/model/cuttings/sheet.ts';
import { type Interface, startInterface } from '../../support/interface.ts';
import { problemWith } from '../../support/problem.ts';

let page: Interface;
beforeAll(async () => {
  page = await startInterface();
});
afterAll(() => page.close());

const SHEETS = '/api/v1/sheets';
const listed = async () => ((await page.get(SHEETS)).body as { sheets: Sheet[] }).sheets;
const poinsettia = async () => (await page.get(`${SHEETS}/poinsettia`)).body as Sheet;
const add = async (body: object) => page.ask('POST', SHEETS, { body });

describe('the shipped sheets', () => {
  test('are listed, at least sixteen, in full and each as it is answered alone', async () => {
    const sheets = await listed();
    expect(sheets.length).toBeGreaterThanOrEqual(16);
    for (const sheet of sheets) expect(sheetSchema.safeParse(sheet).error).toBe(undefined);
    expect(sheets.find(({ id }) => id === 'poinsettia')).toEqual(await poinsettia());
  });

  test('stay as they are: changing one is 400 and says that a copy can be made; deleting one too', async () => {
    const changed = await page.ask('PUT', `${SHEETS}/poinsettia`, { body: await poinsettia() });
    expect(changed.status).toBe(400);
    expect(changed.body).toMatchObject(problemWith('bad-request'));
    expect((changed.body as { detail: string }).detail).toMatch(/copy/);
    expect((await page.ask('DELETE', `${SHEETS}/poinsettia`)).status).toBe(400);
  });
});

describe('an own sheet', () => {
  test('is made of what a shipped one is answered as, byte for byte but for its id and whose it is', async () => {
    const given = await poinsettia();
    const { status, body } = await add(given);
    expect(status).toBe(201);
    const { id, ...made } = body as Sheet;
    expect(id).toMatch(/^own-\d+$/);
    expect(made).toEqual({ ...given, id: undefined, own: true });
    expect((await page.get(`${SHEETS}/${id}`)).body).toEqual(body);
  });

  test('has with each change its next version, and the one before stays as it was', async () => {
    const first = (await add({ ...(await poinsettia()), name: 'Mine' })).body as Sheet;
    const changed = await page.ask('PUT', `${SHEETS}/${first.id}`, {
      body: { ...first, name: 'Mine, warmer' },
    });
    expect(changed.body).toEqual({ ...first, version: 2, name: 'Mine, warmer' });
    expect((await page.get(`${SHEETS}/${first.id}?version=1`)).body).toEqual(first);
    expect((await listed()).filter(({ id }) => id === first.id)).toEqual([changed.body]);
    expect((await page.get(`${SHEETS}/${first.id}?version=3`)).status).toBe(404);
  });

  test('is gone when deleted, its versions still found for batches, and back as it was when that is taken back', async () => {
    const made = (await add({ ...(await poinsettia()), name: 'Short-lived' })).body as Sheet;
    const path = `${SHEETS}/${made.id}`;
    expect((await page.ask('DELETE', path)).status).toBe(204);
    expect((await listed()).map(({ id }) => id)).not.toContain(made.id);
    expect((await page.get(path)).status).toBe(404);
    expect((await page.ask('PUT', path, { body: made })).status).toBe(404);
    expect((await page.get(`${path}?version=1`)).body).toEqual(made);
    expect((await page.ask('POST', `${path}/restore`)).body).toEqual(made);
    expect((await page.get(path)).body).toEqual(made);
  });

  test('without names of its stages and without sources has those of the trade, and says that its figures are own', async () => {
    const { sources: _, stages, ...rest } = await poinsettia();
    const unnamed = stages.map(({ name: _name, ...stage }) => stage);
    const made = (await add({ ...rest, stages: unnamed })).body as Sheet;
    expect(made.stages.map(({ name }) => name)).toEqual(['sticking', 'callusing', 'rooting', 'toning']);
    expect(new Set(Object.values(made.sources))).toEqual(new Set([OWN_FIGURE]));
    expect(made.sources['rooting.air.ceilingC']).toBe(OWN_FIGURE);
  });

  const withFirst = async (change: (targets: Sheet['stages'][number]['targets']) => object) => {
    const sheet = await poinsettia();
    const [first, ...others] = sheet.stages;
    return {
      ...sheet,
      stages: [{ ...first, targets: change((first as Sheet['stages'][number]).targets) }, ...others],
    };
  };
  test.each([
    ['stages.0.targets.air.ceilingC', () => withFirst((t) => ({ ...t, air: { ...t.air, ceilingC: 'hot' } }))],
    ['stages.0.targets.vpd', () => withFirst((t) => ({ ...t, vpd: { lowKpa: 0.5, highKpa: 0.2 } }))],
    ['stages.0.targets.mist.everyMinByDay', () => withFirst((t) => ({ ...t, mist: { everyMinByDay: 0 } }))],
    ['stages', async () => ({ ...(await poinsettia()), stages: (await poinsettia()).stages.slice(1) })],
    [
      'sources.rooting.air.floorC',
      async () => ({ ...(await poinsettia()), sources: { 'rooting.air.floorC': 'x' } }),
    ],
    ['cuttingType', async () => ({ ...(await poinsettia()), cuttingType: 'evergreen' })],
    ['name', async () => ({ ...(await poinsettia()), name: ' ' })],
  ])('with a wrong %s is 400 and names it', async (field, body) => {
    const { status, body: answer } = await add(await body());
    expect(status).toBe(400);
    expect(answer).toMatchObject({ error: { code: 'bad-request', details: { field } } });
  });

  test('an unknown sheet is 404 wherever it is named', async () => {
    const body = await poinsettia();
    const answers = await Promise.all([
      page.get(`${SHEETS}/none`),
      page.ask('PUT', `${SHEETS}/none`, { body }),
      page.ask('DELETE', `${SHEETS}/none`),
      page.ask('POST', `${SHEETS}/none/restore`),
    ]);
    expect(answers.map(({ status }) => status)).toEqual([404, 404, 404, 404]);
  });

  test('may be as large as any shipped one: the largest takes less than half of a body', async () => {
    const sizes = (await listed()).map((sheet) => Buffer.byteLength(JSON.stringify(sheet)));
    expect(Math.max(...sizes)).toBeLessThan(32 * 1024);
  });
});
