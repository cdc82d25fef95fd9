import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import {
  backUpPhotos,
  dropPhotos,
  photoFolder,
  photosIn,
  restorePhotos,
} from '../../../../../../server/adapters/system/files/photos.ts';
import { temporaryFolder } from '../../../../../support/folders.ts';
import { pngOf } from '../../../../../support/photos.ts';

/** A data folder with photos beside its record, and beside its backups. */
async function dataFolder(greys: readonly number[]) {
  const dataDir = temporaryFolder('photos');
  const recordFile = join(dataDir, 'strikewell.db');
  const photos = photoFolder(recordFile);
  const names: string[] = [];
  for (const grey of greys) {
    const staged = await photos.stage({ bytes: pngOf(grey), type: 'png' });
    staged.keep();
    names.push(staged.name);
  }
  const [from, to] = [join(dataDir, 'photos'), join(dataDir, 'backups', 'photos')];
  return { dataDir, recordFile, photos, names, from, to };
}

const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

test('a photo is named by its SHA-256, counts for nothing until it is kept, and is gone when it is dropped', async () => {
  const { photos, from } = await dataFolder([]);
  const staged = await photos.stage({ bytes: pngOf(9), type: 'png' });
  expect(staged.name).toBe(`${sha256(pngOf(9))}.png`);
  expect(photosIn(from)).toEqual([]);
  expect(await photos.read(staged.name)).toBeNull();
  staged.drop();
  expect(readdirSync(from)).toEqual([]);
});

test('a name that is none of a photo leads nowhere', async () => {
  const { photos, dataDir } = await dataFolder([1]);
  writeFileSync(join(dataDir, 'strikewell.db'), 'the record');
  expect(await photos.read('../strikewell.db')).toBeNull();
  photos.remove('../strikewell.db');
  expect(existsSync(join(dataDir, 'strikewell.db'))).toBe(true);
});

describe('beside the backups', () => {
  test('each of 3 photos lies once, however many backups are made, and goes when it is dropped', async () => {
    const { names, from, to } = await dataFolder([1, 2, 3]);
    backUpPhotos({ from, to });
    backUpPhotos({ from, to });
    expect(photosIn(to).sort()).toEqual(names.toSorted());
    dropPhotos(to, [names[0] ?? '', '../../strikewell.db']);
    expect(photosIn(to).sort()).toEqual(names.slice(1).toSorted());
  });

  test('a folder without photos makes none', async () => {
    const { from, to } = await dataFolder([]);
    backUpPhotos({ from, to });
    expect(existsSync(to)).toBe(false);
  });
});

describe('a restore', () => {
  const restored = async (
    greys: readonly number[],
    wanted: (names: readonly string[]) => readonly string[],
  ) => {
    const data = await dataFolder(greys);
    const { recordFile, dataDir, names, from, to } = data;
    backUpPhotos({ from, to });
    const result = (backupFile: string) =>
      restorePhotos({ wanted: wanted(names), backupFile, recordFile, asideSuffix: '.replaced-1' });
    return { ...data, result, backup: join(dataDir, 'backups', 'b.db') };
  };

  test('brings the photos that the record names, and moves those that were there aside', async () => {
    const { result, backup, from, dataDir, names } = await restored([1, 2], ([first = '']) => [first]);
    expect(result(backup)).toEqual({ restored: 1, missing: [] });
    expect(photosIn(from)).toEqual([names[0]]);
    expect(photosIn(join(dataDir, 'photos.replaced-1'))).toHaveLength(2);
    expect(readFileSync(join(from, names[0] ?? ''))).toEqual(pngOf(1));
  });

  test('finds in what was moved aside what does not lie beside the backup', async () => {
    const { result, from } = await restored([1], (names) => names);
    expect(result(join(temporaryFolder('elsewhere'), 'b.db'))).toEqual({ restored: 1, missing: [] });
    expect(photosIn(from)).toHaveLength(1);
  });

  test('of a record that was moved aside brings the photos that were moved with it', async () => {
    const { result, backup, recordFile, from } = await restored([1], () => []);
    result(backup);
    expect(photosIn(from)).toEqual([]);
    const name = `${sha256(pngOf(1))}.png`;
    const again = { wanted: [name], recordFile, asideSuffix: '.replaced-2' };
    expect(restorePhotos({ ...again, backupFile: `${recordFile}.replaced-1` })).toEqual({
      restored: 1,
      missing: [],
    });
  });

  test('names what is missing, or is not what its name says: other bytes, a link, no photo', async () => {
    const folder = temporaryFolder('hostile');
    mkdirSync(join(folder, 'photos'));
    const lay = (name: string, bytes: Uint8Array) => {
      writeFileSync(join(folder, 'photos', name), bytes);
      return name;
    };
    const page = Buffer.from('<!doctype html>');
    const other = lay(`${'a'.repeat(64)}.png`, pngOf(1));
    const html = lay(`${sha256(page)}.png`, page);
    const linked = `${sha256(pngOf(5))}.png`;
    writeFileSync(join(folder, 'target'), pngOf(5));
    symlinkSync(join(folder, 'target'), join(folder, 'photos', linked));
    const none = `${'b'.repeat(64)}.jpg`;
    const good = lay(`${sha256(pngOf(4))}.png`, pngOf(4));
    const wanted = [other, html, linked, none, good];
    const { result, from } = await restored([], () => wanted);
    expect(result(join(folder, 'b.db'))).toEqual({ restored: 1, missing: [other, html, linked, none] });
    expect(readdirSync(from)).toEqual([good]);
  });
});
