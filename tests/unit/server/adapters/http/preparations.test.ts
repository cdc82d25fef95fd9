import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { airRecord, START_MS } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

// the day of START_MS is Monday 1 June 2026
const HOUR_MS = 3_600_000;
const at = (hours: number) => new Date(START_MS + hours * HOUR_MS).toISOString();
const STEPS = [
  { id: 'nitrogen', name: null, daysBefore: 14 },
  { id: 'double-pruning-1', name: null, daysBefore: 112 },
  { id: 'own-1', name: 'Sharpen the knife', daysBefore: 0 },
];
const PLAN = { crop: 'Lilac', stickOn: '2026-06-15', steps: STEPS };

let page: Interface;
beforeAll(async () => {
  page = await startInterface();
  await page.house.report([airRecord(22)]);
});
afterAll(() => page.close());

const post = (path: string, body: unknown) => page.ask('POST', path, { body });
const patch = (path: string, body: unknown) => page.ask('PATCH', path, { body });
const idOf = (body: unknown) => (body as { readonly id: string }).id;
const planned = async (change: object = {}) =>
  idOf((await post('/api/v1/preparations', { ...PLAN, ...change })).body);
const path = (id: string) => `/api/v1/preparations/${id}`;

describe('a plan over the interface', () => {
  test('counts its steps back from 15 June: pruning late since 23 February, the last nitrogen due today, 1 June', async () => {
    const { status, body } = await post('/api/v1/preparations', PLAN);
    expect(status).toBe(201);
    expect(body).toMatchObject({
      state: 'open',
      batchId: null,
      daysLeft: 14,
      steps: [
        { id: 'double-pruning-1', due: '2026-02-23', state: 'late' },
        { id: 'nitrogen', due: '2026-06-01', state: 'due', source: 'common practice, no source' },
        {
          id: 'own-1',
          name: 'Sharpen the knife',
          due: '2026-06-15',
          state: 'ahead',
          source: null,
          what: null,
        },
      ],
    });
    expect((body as { steps: { disputed: string | null }[] }).steps[1]?.disputed).toContain('[KZ97]');
    await page.ask('DELETE', path(idOf(body)));
  });

  test('moved by a week its steps move, and what was done stays done; left out and chosen again it is not', async () => {
    const id = await planned();
    const ticked = await page.ask('PUT', `${path(id)}/steps/nitrogen`, { body: { done: true, at: at(-2) } });
    expect(ticked.body).toMatchObject({ steps: [{}, { state: 'done', doneAt: at(-2) }, {}] });
    const moved = await patch(path(id), { stickOn: '2026-06-22' });
    expect(moved.body).toMatchObject({
      daysLeft: 21,
      steps: [{ due: '2026-03-02' }, { due: '2026-06-08', state: 'done', doneAt: at(-2) }, {}],
    });
    const undone = await page.ask('PUT', `${path(id)}/steps/nitrogen`, { body: { done: false } });
    expect(undone.body).toMatchObject({ steps: [{}, { state: 'ahead', doneAt: null }, {}] });
    await page.ask('DELETE', path(id));
  });

  test('deleted it is listed as deleted, and restored it is there again', async () => {
    const id = await planned();
    expect((await page.ask('DELETE', path(id))).status).toBe(204);
    expect((await page.get(path(id))).status).toBe(404);
    const deleted = await page.get('/api/v1/preparations?state=deleted');
    expect((deleted.body as { preparations: { id: string }[] }).preparations.map((one) => one.id)).toContain(
      id,
    );
    expect((await post(`${path(id)}/restore`, {})).body).toMatchObject({ id, deletedAt: null });
    await page.ask('DELETE', path(id));
  });

  test('lists the steps to choose from, each with a source or the words that there is none', async () => {
    const { body } = await page.get('/api/v1/preparation-steps');
    const { steps } = body as { steps: { id: string; source: string }[] };
    const asked = ['health', 'water', 'light', 'nitrogen', 'stooling', 'hedging', 'double-pruning-1'];
    const rest = [
      'double-pruning-2',
      'girdling',
      'etiolation',
      'banding',
      'blanching',
      'permission',
      'medium',
      'trays',
      'hormone',
    ];
    expect(steps.map(({ id }) => id).sort()).toEqual([...asked, ...rest].sort());
    expect(steps.filter(({ source }) => !/^[A-Z]+\d*$|^common practice, no source$/.test(source))).toEqual(
      [],
    );
  });
});

describe('stick it now', () => {
  const whole = { placeId: 'bench-1', sheetId: 'poinsettia', count: 40 };

  test('makes the batch with what was planned of it; deleting that batch opens the plan again', async () => {
    const noted = {
      stockPlant: 'by the gate',
      permission: 'the owner, by letter',
      medium: 'peat and perlite 1:1',
      mediumState: 'opened',
      mediumSterile: false,
      tray: '72',
      hormone: 'powder 2',
      hormoneStrength: '0.3 %',
      note: 'first flush',
    };
    const id = await planned({ ...whole, ...noted });
    const stuck = await post(`${path(id)}/stick`, {});
    expect(stuck).toMatchObject({
      status: 201,
      body: {
        crop: 'Lilac',
        ...whole,
        stuckAt: at(0),
        stockPlant: 'by the gate',
        medium: 'peat and perlite 1:1, opened, not sterile',
        hormone: 'powder 2',
        hormoneStrength: '0.3 %',
        note: 'Permission: the owner, by letter\nfirst flush',
      },
    });
    const batch = idOf(stuck.body);
    expect((await page.get(path(id))).body).toMatchObject({ state: 'stuck', batchId: batch });
    expect((await post(`${path(id)}/stick`, {})).status).toBe(400);
    await page.ask('DELETE', `/api/v1/batches/${batch}`);
    expect((await page.get(path(id))).body).toMatchObject({ state: 'open', batchId: null });
    await page.ask('DELETE', path(id));
  });

  test.each(['placeId', 'sheetId', 'count'])(
    'without %s it is refused, and no batch is made',
    async (field) => {
      const id = await planned({ ...whole, [field]: null });
      const before = await page.get('/api/v1/batches');
      expect(await post(`${path(id)}/stick`, {})).toMatchObject({
        status: 400,
        body: { error: { details: { field } } },
      });
      expect((await page.get('/api/v1/batches')).body).toEqual(before.body);
      await page.ask('DELETE', path(id));
    },
  );
});

describe('what does not fit is refused with the name of the field', () => {
  test.each([
    [{ crop: ' ' }, 'crop'],
    [{ stickOn: '2026-02-30' }, 'stickOn'],
    [{ placeId: 'nowhere' }, 'placeId'],
    [{ sheetId: 'nothing' }, 'sheetId'],
    [{ count: 0 }, 'count'],
    [{ steps: [...STEPS, STEPS[0]] }, 'steps'],
    [{ steps: [{ id: 'prayer', name: null, daysBefore: 1 }] }, 'steps'],
    [{ steps: [{ id: 'nitrogen', name: null, daysBefore: -1 }] }, 'steps.0.daysBefore'],
    [{ mediumState: 'used' }, 'mediumState'],
    [{ more: 1 }, ''],
  ])('%j', async (change, field) => {
    const answer = await post('/api/v1/preparations', { ...PLAN, ...change });
    expect(answer).toMatchObject({ status: 400, body: { error: { details: { field } } } });
  });

  test('a step ticked in the future, or one the plan has not', async () => {
    const id = await planned();
    const tick = (step: string, body: unknown) => page.ask('PUT', `${path(id)}/steps/${step}`, { body });
    expect((await tick('nitrogen', { done: true, at: at(48) })).status).toBe(400);
    expect((await tick('girdling', { done: true })).status).toBe(404);
    await page.ask('DELETE', path(id));
  });
});
