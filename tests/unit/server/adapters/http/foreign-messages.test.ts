import { afterAll, beforeAll, expect, test } from 'vitest';
import { startInterface } from '../../support/interface.ts';

let page: Awaited<ReturnType<typeof startInterface>>;
beforeAll(async () => {
  page = await startInterface();
});
afterAll(() => page.close());

const MAPPING = {
  filter: 'house/+',
  device: { kind: 'named', name: 'post' },
  placeId: null,
  time: { kind: 'arrival' },
  values: [{ pointer: '/t', probe: 'air/temperature', unit: 'Cel' }],
};
const ask = (method: string, path: string, body?: unknown) =>
  page.ask(method, `/api/v1${path}`, body === undefined ? {} : { body });

test('a mapping is made with 201, listed with its defaults and the names and units to choose from, changed and removed', async () => {
  expect(await ask('POST', '/mappings', MAPPING)).toMatchObject({
    status: 201,
    body: { id: 1, stored: 0, refused: 0, lastAt: null, values: [{ scale: 1, offset: 0, optional: false }] },
  });
  const { body } = await ask('GET', '/mappings');
  expect(body).toMatchObject({
    mappings: [{ filter: 'house/+' }],
    probes: expect.arrayContaining([
      { probe: 'air/temperature', words: 'Air temperature', units: ['Cel', 'K', 'degF'] },
      { probe: 'air/humidity', words: 'Relative humidity', units: ['%RH', '/'] },
    ]),
  });
  expect(await ask('PUT', '/mappings/1', { ...MAPPING, placeId: 'sill' })).toMatchObject({
    status: 200,
    body: { id: 1, placeId: 'sill' },
  });
  expect((await ask('DELETE', '/mappings/1')).status).toBe(204);
  expect(await ask('DELETE', '/mappings/1')).toMatchObject({
    status: 404,
    body: { error: { code: 'not-found' } },
  });
});

test.each([
  ['filter', { filter: 'strikewell/1/sill/readings' }, 'strikewell/1/'],
  ['filter', { filter: 'house/#/x' }, '# before its end'],
  ['values.0.pointer', { values: [{ pointer: 't', probe: 'x', unit: null }] }, 'JSON pointer'],
  ['values', { values: [] }, 'at least one value'],
])(
  'a mapping with a wrong %s is refused with 400, naming the field and what is wrong',
  async (field, given, words) => {
    expect(await ask('POST', '/mappings', { ...MAPPING, ...given })).toMatchObject({
      status: 400,
      body: { error: { code: 'bad-request', details: { [field]: expect.stringContaining(words) } } },
    });
  },
);

test('listening answers with its end, and what was received is tried', async () => {
  expect(await ask('POST', '/mappings/listen', { filter: 'house/#' })).toMatchObject({
    status: 200,
    body: { filter: 'house/#', messages: [] },
  });
  page.house.daemon.foreign.observe({
    topic: 'house/3',
    payload: new TextEncoder().encode('{"t":21}'),
    arrivedAtMs: page.house.hand.clock.nowMs(),
    retainedCopy: false,
  });
  expect(await ask('GET', '/mappings/listen')).toMatchObject({
    body: { messages: [{ id: 1, json: { t: 21 } }] },
  });
  expect(await ask('POST', '/mappings/try', { mapping: MAPPING, heard: 1 })).toMatchObject({
    status: 200,
    body: { verdict: { outcome: 'stored', device: 'post' } },
  });
  expect((await ask('POST', '/mappings/try', { mapping: MAPPING, heard: 9 })).status).toBe(404);
  expect(await ask('DELETE', '/mappings/listen')).toMatchObject({ body: { filter: null } });
});

test('watching is asked for, and answers what came after the message that is named', async () => {
  expect(await ask('POST', '/watch')).toMatchObject({ status: 200, body: { last: 0, messages: [] } });
  await page.house.report([{ n: 'air/temperature', u: 'Cel', v: 20 }]);
  expect(await ask('GET', '/watch?after=0')).toMatchObject({
    body: { last: 1, gap: false, messages: [{ id: 1, verdict: { outcome: 'stored' } }] },
  });
  expect(await ask('GET', '/watch?after=1')).toMatchObject({ body: { messages: [] } });
  expect((await ask('GET', '/watch?after=x')).status).toBe(400);
});
