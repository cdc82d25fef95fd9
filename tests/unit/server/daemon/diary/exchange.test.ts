import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { photoFolder } from '../../../../../server/adapters/system/files/photos.ts';
import type { CuttingsQuery } from '../../../../../server/ports.ts';
import { temporaryFolder } from '../../../../support/folders.ts';
import { pngOf } from '../../../../support/photos.ts';
import { airRecord, START_MS, startHouse } from '../../support/house.ts';

const HOUR_MS = 3_600_000;
const at = (hours: number) => START_MS + hours * HOUR_MS;
const ALL = { what: 'all', as: 'ndjson', photos: true } as const;

async function emptyHouse() {
  const photos = photoFolder(join(temporaryFolder('cuttings'), 'strikewell.db'));
  const house = startHouse({ photos });
  for (const device of ['bench-1', 'bench-2']) await house.report([airRecord(22)], device);
  const { cuttings } = house.daemon;
  const exported = async (query: CuttingsQuery = ALL) => {
    const { lines } = cuttings.exportOf(query);
    let text = '';
    for await (const line of lines) text += line;
    return text;
  };
  const imported = (text: string, order: { as?: 'csv' | 'ndjson'; dryRun?: boolean } = {}) =>
    cuttings.importFrom(inPieces(text), { as: 'ndjson', dryRun: false, ...order });
  return { house, ...house.daemon, exported, imported };
}

/** A file as it comes in, cut anywhere. */
async function* inPieces(text: string): AsyncGenerator<Uint8Array> {
  const bytes = new TextEncoder().encode(text);
  for (let from = 0; from < bytes.length; from += 701) yield bytes.subarray(from, from + 701);
}

/** A house with an own sheet, a batch on it, the plan it was, a further plan, and a diary with a photo. */
async function fullHouse() {
  const full = await emptyHouse();
  const { batches, sheets, diary } = full;
  const { id: _id, version: _version, own: _own, ...content } = sheets.sheet('geranium', undefined);
  const sheet = sheets.add({ ...content, name: 'My geraniums' });
  const { preparations } = batches;
  const details = { placeId: 'bench-1', sheetId: sheet.id, count: 80, cultivar: 'Ruby', mediumSterile: true };
  const steps = [{ id: 'medium', name: null, daysBefore: 7 }];
  const plan = preparations.add({ crop: 'Geranium', stickOn: '2026-06-01', steps, details });
  preparations.tick(plan.id, 'medium', at(-30));
  const batch = preparations.stick(plan.id, at(-20));
  batches.setWeaning(batch.id, {
    fromMs: at(9),
    gateShare: 0.7,
    steps: [{ days: 2, lowKpa: 0.3, highKpa: 0.6 }],
  });
  preparations.add({
    crop: 'Fig',
    stickOn: '2026-12-01',
    steps: [],
    details: { note: 'from the south wall' },
  });
  const about = { placeId: null, batchId: batch.id, by: 'Sam' };
  await diary.addPhoto({ ...about, atMs: at(-9), note: 'callus' }, pngOf(7));
  diary.add({ ...about, kind: 'treated', atMs: at(-8), note: '=1+1' });
  diary.add({ placeId: 'bench-2', batchId: null, kind: 'vented', atMs: at(-7), note: null, by: null });
  diary.remove(diary.add({ ...about, kind: 'misted', atMs: at(-6), note: null }).id);
  return { ...full, batch };
}

/** Lines without the numbers of their record. */
const unnumbered = (text: string) =>
  text
    .trim()
    .split('\n')
    .map((line) => ({ ...(JSON.parse(line) as object), id: 0, batch: 0 }));

describe('sheets, batches, plans and the diary', () => {
  test('come back whole from the file of their export, weaning, plans and photos too', async () => {
    const from = await fullHouse();
    const file = await from.exported();
    const to = await emptyHouse();
    const sums = {
      batches: 1,
      preparations: 2,
      sheets: 1,
      entries: 3,
      photos: 1,
      refused: [],
      refusedInAll: 0,
    };
    expect(await to.imported(file, { dryRun: true })).toEqual({ dryRun: true, ...sums, notes: [] });
    expect(await to.exported()).toBe('');
    expect(await to.imported(file)).toEqual({ dryRun: false, ...sums, notes: [] });
    expect(unnumbered(await to.exported())).toEqual(unnumbered(file));
    const [photo] = to.diary.list({ placeId: null, batchId: '1', ...EVER }).entries.slice(-1);
    const { bytes } = await to.diary.photo(photo?.id ?? '');
    expect(Buffer.from(bytes)).toEqual(pngOf(7));
    expect(to.batches.preparations.list('stuck')).toMatchObject([{ crop: 'Geranium', batchId: '1' }]);
  });

  test('are refused, each with its reason, where they are there already', async () => {
    const { exported, imported } = await fullHouse();
    const file = await exported();
    const answer = await imported(file);
    expect(answer).toMatchObject({ batches: 0, preparations: 0, sheets: 0, entries: 0, refusedInAll: 7 });
    for (const { reason } of answer.refused) expect(reason).toMatch(/^It is there already/);
    expect(await exported()).toBe(file);
  });

  test('a plan whose batch is not here is open again, and says so', async () => {
    const from = await fullHouse();
    const to = await emptyHouse();
    const answer = await to.imported(await from.exported({ ...ALL, what: 'preparations' }));
    expect(answer).toMatchObject({ preparations: 1, refusedInAll: 1 });
    expect(answer.refused[0]?.reason).toMatch(/no target sheet "own-1"/);
  });
});

const EVER = { fromMs: null, toMs: null, deleted: false, limit: 99, after: null };

describe('a diary', () => {
  test('comes back from CSV, which says that it has no photos', async () => {
    const from = await fullHouse();
    const query = { what: 'diary', as: 'csv', photos: false } as const;
    expect(from.cuttings.exportOf(query).leftOut).toMatch(/^Photos are not in it/);
    const csv = await from.exported(query);
    const to = await emptyHouse();
    await to.imported(await from.exported({ ...ALL, what: 'all', photos: false }).then(withoutDiary));
    const answer = await to.imported(csv, { as: 'csv' });
    expect(answer).toMatchObject({ entries: 3, photos: 0, refused: [] });
    expect(answer.notes).toEqual([expect.stringMatching(/^1 photo is named and not in the file/)]);
    expect((await to.exported(query)).replaceAll(/[0-9a-f]{64}\.png/g, '')).toBe(
      csv.replaceAll(/[0-9a-f]{64}\.png/g, ''),
    );
    expect(() => from.cuttings.exportOf({ ...query, photos: true })).toThrow(/no space for photos/);
    expect(() => from.cuttings.exportOf({ ...query, what: 'all' })).toThrow(/each in a file of its own/);
  });

  test('an entry whose batch is not here, a changed photo and a broken line are refused, and the others kept', async () => {
    const from = await fullHouse();
    const lines = (await from.exported({ ...ALL, what: 'diary' })).trim().split('\n');
    const photo = lines.find((line) => line.includes('photoData')) ?? '';
    const changed = photo.replace(/"photoData":"[^"]*"/, `"photoData":"${pngOf(8).toString('base64')}"`);
    const to = await emptyHouse();
    const answer = await to.imported([...lines, changed, '{"kind":', ''].join('\n'));
    expect(answer).toMatchObject({ entries: 1, refusedInAll: 4 });
    expect(answer.refused.map(({ what, nth, reason }) => `${what} ${nth}: ${reason}`)).toEqual([
      expect.stringMatching(/^entry 1: Its batch is not here: Geranium, stuck 2026-05-31T14/),
      expect.stringMatching(/^entry 2: Its batch is not here/),
      expect.stringMatching(/^entry 4: "photoData" is not the photo/),
      expect.stringMatching(/^line 5: it is no JSON object/),
    ]);
  });

  test('what is no export of ours is said to be none', async () => {
    const { imported } = await emptyHouse();
    await expect(imported('a,b\n1,2\n', { as: 'csv' })).rejects.toThrow(/no export of the diary/);
    expect((await imported('crop,count\nFig,3\n')).refused).toEqual([
      { what: 'line', nth: 1, name: null, reason: expect.stringMatching(/the file is no JSON/) },
    ]);
  });
});

/** The lines of sheets, batches and plans. */
function withoutDiary(text: string): string {
  return text
    .split('\n')
    .filter((line) => !line.includes('"kind"'))
    .join('\n');
}
