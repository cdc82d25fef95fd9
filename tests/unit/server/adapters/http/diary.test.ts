import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { DIARY_KINDS, MAX_PHOTO_BYTES } from '../../../../../shared/model/cuttings/diary.ts';
import type { DiaryEntry } from '../../../../../shared/wire/cuttings/diary.ts';
import { jpegOf, pngOf } from '../../../../support/photos.ts';
import { airRecord, START_MS } from '../../support/house.ts';
import { type Interface, startInterface } from '../../support/interface.ts';

const HOUR_MS = 3_600_000;
const at = (hours: number) => new Date(START_MS + hours * HOUR_MS).toISOString();

let page: Interface;
beforeAll(async () => {
  page = await startInterface();
  for (const device of ['bench-1', 'bench-2', 'bench-3']) await page.house.report([airRecord(22)], device);
});
afterAll(() => page.close());

const post = (path: string, body: unknown) => page.ask('POST', path, { body });
const sendPhoto = (query: string, raw: Uint8Array, type = 'image/jpeg') =>
  page.ask('POST', `/api/v1/diary/photo?${query}`, { raw, headers: { 'content-type': type } });
const entryOf = (body: unknown) => body as DiaryEntry;
const listOf = async (query: string) =>
  (await page.get(`/api/v1/diary?${query}`)).body as { entries: DiaryEntry[]; next: string | null };
const add = async (body: object) => entryOf((await post('/api/v1/diary', body)).body);

describe('an entry over the interface', () => {
  test.each(DIARY_KINDS.filter((kind) => kind !== 'photo'))(
    '"%s" is written down with one order, at the time it is now',
    async (kind) => {
      const made = await post('/api/v1/diary', { kind, placeId: 'bench-3' });
      expect(made).toMatchObject({
        status: 201,
        body: {
          kind,
          at: at(0),
          to: kind === 'vented' ? at(0) : null,
          placeId: 'bench-3',
          batchId: null,
          note: null,
          by: null,
          photo: false,
          deletedAt: null,
        },
      });
      const { id } = entryOf(made.body);
      expect((await page.get(`/api/v1/diary/${id}`)).body).toEqual(made.body);
    },
  );

  test('its time and its note are changed, and a note is taken away with null', async () => {
    const { id } = await add({ kind: 'treated', placeId: 'bench-1', note: 'as the label says' });
    const changed = await page.ask('PATCH', `/api/v1/diary/${id}`, { body: { at: at(-2) } });
    expect(changed).toMatchObject({ status: 200, body: { at: at(-2), note: 'as the label says' } });
    const emptied = await page.ask('PATCH', `/api/v1/diary/${id}`, { body: { note: null } });
    expect(emptied).toMatchObject({ status: 200, body: { at: at(-2), note: null } });
  });

  test('deleted by two clients it is gone once, listed as deleted, and restored as it was', async () => {
    const { id } = await add({ kind: 'moved', placeId: 'bench-1', note: 'to the fan' });
    const both = await Promise.all([1, 2].map(() => page.ask('DELETE', `/api/v1/diary/${id}`)));
    expect(both.map(({ status }) => status).sort()).toEqual([204, 404]);
    expect((await page.get(`/api/v1/diary/${id}`)).status).toBe(404);
    expect((await page.ask('PATCH', `/api/v1/diary/${id}`, { body: { note: 'x' } })).status).toBe(404);
    expect((await listOf('placeId=bench-1&state=deleted')).entries).toMatchObject([{ id, deletedAt: at(0) }]);
    const restored = await post(`/api/v1/diary/${id}/restore`, {});
    expect(restored).toMatchObject({ status: 200, body: { id, note: 'to the fan', deletedAt: null } });
    expect((await post(`/api/v1/diary/${id}/restore`, {})).status).toBe(200);
  });

  test('the list has the newest first, a part at a time without a gap or a repeat, and only those of its span', async () => {
    const hours = [-30, -29, -29, -28, -27];
    for (const hour of hours) await add({ kind: 'misted', placeId: 'bench-2', at: at(hour) });
    const all = (await listOf('placeId=bench-2')).entries;
    expect(all.map((entry) => entry.at)).toEqual(hours.toReversed().map(at));
    const parts: string[] = [];
    for (let cursor = ''; ; ) {
      const { entries, next } = await listOf(`placeId=bench-2&limit=2${cursor}`);
      parts.push(...entries.map(({ id }) => id));
      if (next === null) break;
      cursor = `&cursor=${next}`;
    }
    expect(parts).toEqual(all.map(({ id }) => id));
    const span = await listOf(`placeId=bench-2&from=${at(-29)}&to=${at(-27)}`);
    expect(span.entries.map((entry) => entry.at)).toEqual([at(-28), at(-29), at(-29)]);
  });

  test('of a batch is listed with those of the place where it stood, while it stood there', async () => {
    const order = { placeId: 'bench-1', crop: 'Fuchsia', sheetId: 'poinsettia', stuckAt: at(-90), count: 9 };
    const batch = entryOf((await post('/api/v1/batches', order)).body).id;
    await post(`/api/v1/batches/${batch}/moves`, { placeId: 'bench-2', from: at(-80) });
    const early = await add({ kind: 'watered', placeId: 'bench-1', at: at(-91) });
    const first = await add({ kind: 'misted', placeId: 'bench-1', at: at(-85) });
    const left = await add({ kind: 'misted', placeId: 'bench-1', at: at(-79) });
    const own = await add({ kind: 'note', batchId: batch, at: at(-78), note: 'callus shows' });
    expect(own).toMatchObject({ placeId: 'bench-2', batchId: batch });
    const other = { ...order, crop: 'Salvia' };
    const otherBatch = entryOf((await post('/api/v1/batches', other)).body).id;
    const ofOther = await add({ kind: 'moved', placeId: 'bench-2', batchId: otherBatch, at: at(-78) });
    const ids = (await listOf(`batchId=${batch}&to=${at(-70)}`)).entries.map(({ id }) => id);
    expect(ids).toEqual([own.id, first.id]);
    for (const { id } of [early, left, ofOther]) expect(ids).not.toContain(id);
  });
});

describe('what does not fit is refused with the name of the field', () => {
  const order = { kind: 'misted', placeId: 'bench-1' };
  test.each([
    [{ at: at(1) }, 'at'],
    [{ at: new Date(START_MS + 1).toISOString() }, 'at'],
    [{ at: '1999-12-31T23:59:59Z' }, 'at'],
    [{ at: 'noon' }, 'at'],
    [{ kind: 'sung to' }, 'kind'],
    [{ kind: 'photo' }, 'kind'],
    [{ placeId: 'nowhere' }, 'placeId'],
    [{ placeId: undefined }, 'placeId'],
    [{ placeId: undefined, batchId: 'x' }, 'batchId'],
    [{ note: ' ' }, 'note'],
    [{ note: 'n'.repeat(2_001) }, 'note'],
    [{ by: 'somebody else' }, ''],
  ])('POST %o: %s', async (change, field) => {
    const before = (await listOf('placeId=bench-1')).entries;
    const answer = await post('/api/v1/diary', { ...order, ...change });
    expect(answer).toMatchObject({
      status: 400,
      body: { error: { code: 'bad-request', details: { field } } },
    });
    expect((await listOf('placeId=bench-1')).entries).toEqual(before);
  });

  test.each([
    ['limit=0', 'limit'],
    ['cursor=abc', 'cursor'],
    [`cursor=${Buffer.from('1.2.3').toString('base64url')}&limit=3`, 'cursor'],
    [`from=${at(0)}&to=${at(0)}`, 'from'],
    ['state=lost', 'state'],
  ])('GET ?%s: %s', async (query, field) => {
    const { status, body } = await page.get(`/api/v1/diary?${query}`);
    expect([status, body]).toMatchObject([400, { error: { details: { field } } }]);
  });

  test('a batch that is not there is not found, and so is an entry', async () => {
    expect((await post('/api/v1/diary', { kind: 'misted', batchId: '999' })).status).toBe(404);
    for (const path of ['999', '999/photo', 'x', '1e3'])
      expect((await page.get(`/api/v1/diary/${path}`)).status).toBe(404);
  });

  test('whatever is sent, the answer is 201 or says what is wrong', async () => {
    const value = fc.oneof(fc.string(), fc.double(), fc.constant(null), fc.object(), fc.constant('bench-1'));
    const body = fc.dictionary(fc.constantFrom('kind', 'placeId', 'batchId', 'at', 'note', 'x'), value);
    await fc.assert(
      fc.asyncProperty(body, fc.constantFrom(...DIARY_KINDS), async (sent, kind) => {
        const { status } = await post('/api/v1/diary', { kind, ...sent });
        expect([201, 400, 404]).toContain(status);
      }),
      { numRuns: 100 },
    );
  });
});

describe('a photo over the interface', () => {
  const bytesOf = async (id: string) => {
    const answer = await fetch(`http://127.0.0.1:${page.port}/api/v1/diary/${id}/photo`);
    return { type: answer.headers.get('content-type'), bytes: Buffer.from(await answer.arrayBuffer()) };
  };

  test('comes back byte for byte, with the type of its first bytes, whatever the sender calls it', async () => {
    const png = pngOf(200);
    const made = await sendPhoto(`placeId=bench-1&at=${at(-1)}&note=roots`, png, 'image/jpeg');
    expect(made).toMatchObject({
      status: 201,
      body: { kind: 'photo', photo: true, at: at(-1), note: 'roots', placeId: 'bench-1' },
    });
    expect(await bytesOf(entryOf(made.body).id)).toEqual({ type: 'image/png', bytes: png });
    const largest = jpegOf(MAX_PHOTO_BYTES);
    const kept = await sendPhoto('placeId=bench-1', largest, 'application/octet-stream');
    const back = await bytesOf(entryOf(kept.body).id);
    expect([back.type, back.bytes.equals(largest)]).toEqual(['image/jpeg', true]);
  });

  const photoCount = async () => (await listOf('state=kept')).entries.filter(({ photo }) => photo).length;
  test.each([
    ['a GIF', Buffer.from('GIF89a......'), 415, 'not-a-photo'],
    ['a page', Buffer.from('<!doctype html><script>'), 415, 'not-a-photo'],
    ['nothing', Buffer.alloc(0), 415, 'not-a-photo'],
    ['7 of the 8 bytes a PNG begins with', pngOf(1).subarray(0, 7), 415, 'not-a-photo'],
    ['8 MB and 1 byte', jpegOf(MAX_PHOTO_BYTES + 1), 413, 'photo-too-large'],
    ['40 MB', jpegOf(40 * 1024 * 1024), 413, 'photo-too-large'],
  ] as const)('%s is refused, and no entry is made', async (_, raw, status, code) => {
    const count = await photoCount();
    expect(await sendPhoto('placeId=bench-1', raw)).toMatchObject({ status, body: { error: { code } } });
    expect(await photoCount()).toBe(count);
  });

  test('has a small picture once one was kept; until then the photo itself, which nobody keeps a copy of', async () => {
    const { id } = entryOf((await sendPhoto('placeId=bench-1', pngOf(9))).body);
    const address = `http://127.0.0.1:${page.port}/api/v1/diary/${id}/thumbnail`;
    const shown = async () => {
      const answer = await fetch(address);
      const { headers } = answer;
      const bytes = Buffer.from(await answer.arrayBuffer());
      return { type: headers.get('content-type'), cache: headers.get('cache-control'), bytes };
    };
    const put = async (body: Buffer) =>
      (
        await fetch(address, {
          method: 'PUT',
          body: new Uint8Array(body),
          headers: { 'content-type': 'image/jpeg' },
        })
      ).status;
    expect(await shown()).toEqual({ type: 'image/png', cache: 'no-store', bytes: pngOf(9) });
    expect(await put(pngOf(9))).toBe(415);
    expect(await put(jpegOf(64 * 1024 + 1))).toBe(413);
    expect(await put(jpegOf(64 * 1024))).toBe(204);
    const { type, bytes } = await shown();
    expect([type, bytes.equals(jpegOf(64 * 1024))]).toEqual(['image/jpeg', true]);
    expect((await bytesOf(id)).bytes).toEqual(pngOf(9));
    const none = await fetch(address.replace(`/${id}/`, '/999999/'), {
      method: 'PUT',
      body: new Uint8Array(9),
    });
    expect(none.status).toBe(404);
  });

  test('JSON in the place of a photo, a time ahead and an unknown place are refused', async () => {
    expect(await page.ask('POST', '/api/v1/diary/photo?placeId=bench-1', { body: {} })).toMatchObject({
      status: 415,
    });
    const late = await sendPhoto(`placeId=bench-1&at=${at(24 * 99)}`, pngOf(1));
    expect(late).toMatchObject({ status: 400, body: { error: { details: { field: 'at' } } } });
    expect((await sendPhoto('placeId=nowhere', pngOf(1))).status).toBe(400);
    expect((await sendPhoto('', pngOf(1))).status).toBe(400);
  });
});
