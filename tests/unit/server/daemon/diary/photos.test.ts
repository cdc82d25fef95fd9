import { existsSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { photoFolder } from '../../../../../server/adapters/system/files/photos.ts';
import { startDiaryUpkeep } from '../../../../../server/daemon/diary/upkeep.ts';
import type { PhotoFolder } from '../../../../../server/ports.ts';
import { DIARY_UNDO_MS } from '../../../../../shared/model/cuttings/diary.ts';
import { temporaryFolder } from '../../../../support/folders.ts';
import { jpegOf, pngOf } from '../../../../support/photos.ts';
import { failingStore } from '../../support/failing-store.ts';
import { storeOnDisk } from '../../support/full-disk.ts';
import { clockByHand, readableLog } from '../../support/hand.ts';
import { airRecord, type HouseOptions, START_MS, startHouse } from '../../support/house.ts';

const DAY_MS = 86_400_000;
const ORDER = { placeId: 'bench-1', batchId: null, atMs: null, note: null, by: null };

async function houseWith(options: HouseOptions = {}) {
  const folder = temporaryFolder('photos');
  const photos = options.photos ?? photoFolder(join(folder, 'strikewell.db'));
  const house = startHouse({ ...options, photos });
  await house.report([airRecord(22)]);
  const files = () => (existsSync(join(folder, 'photos')) ? readdirSync(join(folder, 'photos')) : []);
  // its own clock stands still: a month of the daemon's other work would take a minute
  const { timers, pass } = clockByHand(START_MS);
  const { store } = house;
  startDiaryUpkeep({ store, photos, timers, clock: house.hand.clock, log: readableLog(), mayForget });
  /** the time is so much later, and what has had its time is removed */
  const later = (byMs: number) => {
    house.hand.jump(byMs);
    pass(3_600_000);
  };
  return { house, photos, files, folder, later };
}
const mayForget = () => true;

describe('a deleted entry', () => {
  test('keeps its photo for 30 days, in which it can be restored; then both are gone', async () => {
    const { house, files, later } = await houseWith();
    const { diary } = house.daemon;
    const { id } = await diary.addPhoto(ORDER, pngOf(1));
    expect(files()).toHaveLength(1);
    diary.remove(id);
    later(DIARY_UNDO_MS);
    expect(files()).toHaveLength(1);
    expect(diary.restore(id)).toMatchObject({ id, photo: true });
    diary.remove(id);
    later(DIARY_UNDO_MS + 1);
    expect(files()).toEqual([]);
    expect(house.store.diary.get(Number(id))).toBeNull();
    expect(() => diary.restore(id)).toThrow(/no entry/);
  });

  test('of a place that is removed for good goes with its photo; one of a batch that stood elsewhere stays', async () => {
    const { house, files, later } = await houseWith();
    await house.report([airRecord(22)], 'bench-2');
    const { diary, batches } = house.daemon;
    const stuckMs = START_MS - DAY_MS;
    const order = {
      placeId: 'bench-2',
      crop: 'Fuchsia',
      sheetId: 'poinsettia',
      stuckMs,
      count: 9,
      details: {},
    };
    const batch = batches.add(order);
    batches.move(batch.id, { placeId: 'bench-1', fromMs: stuckMs + 1_000 });
    await diary.addPhoto(ORDER, pngOf(1));
    const own = await diary.addPhoto({ ...ORDER, placeId: null, batchId: batch.id }, pngOf(2));
    expect(own.placeId).toBe('bench-1');
    house.store.transaction(() => house.store.places.removeWithRecord('bench-1'));
    later(0);
    expect(files()).toHaveLength(1);
    expect(diary.get(own.id)).toMatchObject({ placeId: null, batchId: batch.id, photo: true });
  });
});

test('a small picture goes with its photo; one whose photo is no longer kept goes at the next start', async () => {
  const { house, photos, folder, later } = await houseWith();
  const { diary } = house.daemon;
  const smalls = () => readdirSync(join(folder, 'thumbnails'));
  const { id } = await diary.addPhoto(ORDER, pngOf(1));
  await diary.keepThumbnail(id, jpegOf(100));
  const name = house.store.diary.get(Number(id))?.photo ?? '';
  expect(smalls()).toEqual([`${name}.small`]);
  expect(await diary.thumbnail(id)).toMatchObject({ isWhole: false, mediaType: 'image/jpeg' });
  diary.remove(id);
  later(DIARY_UNDO_MS + 1);
  expect(smalls()).toEqual([]);
  await photos.keepSmall(name, jpegOf(100));
  photos.recover(() => false);
  expect(smalls()).toEqual([]);
});

test('the same photo twice is kept once, and stays while one of its entries is there', async () => {
  const { house, files, later } = await houseWith();
  const { diary } = house.daemon;
  const [first, second] = await Promise.all([1, 2].map(() => diary.addPhoto(ORDER, pngOf(7))));
  expect(files()).toHaveLength(1);
  diary.remove(first?.id ?? '');
  later(DIARY_UNDO_MS + 1);
  expect(house.store.diary.get(Number(first?.id))).toBeNull();
  expect(Buffer.from((await diary.photo(second?.id ?? '')).bytes)).toEqual(pngOf(7));
});

describe('on a full disk', () => {
  test('an entry and a photo are refused with store-failed, and nothing of the photo is left', async () => {
    const { store, disk } = storeOnDisk();
    const { house, files } = await houseWith({ store });
    disk.full = true;
    const { diary } = house.daemon;
    const order = { ...ORDER, kind: 'misted' as const };
    expect(() => diary.add(order)).toThrow(expect.objectContaining({ code: 'store-failed' }));
    await expect(diary.addPhoto(ORDER, pngOf(1))).rejects.toMatchObject({ code: 'store-failed' });
    expect(files()).toEqual([]);
    disk.full = false;
    expect(diary.list(ALL).entries).toEqual([]);
  });

  test.each([0, 1])('a photo whose commit fails at write %i leaves neither a row nor a file', async (n) => {
    const failing = failingStore(storeOnDisk().store);
    const { house, files } = await houseWith({ store: failing.store });
    failing.failAt(n);
    await expect(house.daemon.diary.addPhoto(ORDER, pngOf(1))).rejects.toMatchObject({
      code: 'store-failed',
    });
    failing.mend();
    expect([files(), house.daemon.diary.list(ALL).entries]).toEqual([[], []]);
    // the record is tried again
    house.hand.pass(60_000);
    await house.daemon.diary.addPhoto(ORDER, pngOf(1));
    expect(files()).toHaveLength(1);
  });

  test('a photo that cannot be written is refused, and no entry is made', async () => {
    const folder = temporaryFolder('photos');
    writeFileSync(join(folder, 'photos'), 'a file in the place of the folder');
    const { house } = await houseWith({ photos: photoFolder(join(folder, 'strikewell.db')) });
    await expect(house.daemon.diary.addPhoto(ORDER, pngOf(1))).rejects.toMatchObject({
      code: 'store-failed',
    });
    expect(house.daemon.diary.list(ALL).entries).toEqual([]);
  });
});

const ALL = { placeId: null, batchId: null, fromMs: null, toMs: null, deleted: false, limit: 9, after: null };

describe('a daemon that died between the photo and its entry', () => {
  /** Photos that are staged and never kept or dropped, as when the power goes. */
  const dying = (photos: PhotoFolder): PhotoFolder => ({
    ...photos,
    stage: async (photo) => ({
      ...(await photos.stage(photo)),
      keep: () => {
        throw new Error('the power went');
      },
      drop: () => undefined,
    }),
  });

  test('keeps the photo at the next start where its entry was committed, and removes it where it was not', async () => {
    const folder = temporaryFolder('photos');
    const photos = photoFolder(join(folder, 'strikewell.db'));
    const { house } = await houseWith({ photos: dying(photos) });
    await expect(house.daemon.diary.addPhoto(ORDER, pngOf(1))).rejects.toThrow('the power went');
    await photos.stage({ bytes: jpegOf(100), type: 'jpg' });
    const names = () => readdirSync(join(folder, 'photos')).sort();
    expect(names().filter((name) => name.endsWith('.staged'))).toHaveLength(2);
    const { timers, clock } = clockByHand(START_MS);
    startDiaryUpkeep({
      store: house.store,
      photos,
      timers,
      clock,
      log: readableLog(),
      mayForget: () => true,
    });
    expect(names()).toEqual([expect.stringMatching(/^[0-9a-f]{64}\.png$/)]);
    const [entry] = house.daemon.diary.list(ALL).entries;
    expect(Buffer.from((await house.daemon.diary.photo(entry?.id ?? '')).bytes)).toEqual(pngOf(1));
  });
});

test('a photo whose file is gone is not found, and its entry still says what it said', async () => {
  const { house, photos } = await houseWith({ store: storeOnDisk().store });
  const { id } = await house.daemon.diary.addPhoto({ ...ORDER, note: 'callus' }, pngOf(1));
  photos.remove(house.store.diary.get(Number(id))?.photo ?? '');
  await expect(house.daemon.diary.photo(id)).rejects.toMatchObject({ code: 'not-found' });
  expect(house.daemon.diary.get(id)).toMatchObject({ note: 'callus' });
});
