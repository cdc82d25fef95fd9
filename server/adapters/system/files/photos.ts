import { createHash } from 'node:crypto';
import {
  copyFileSync,
  existsSync,
  linkSync,
  mkdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs';
import { open, readFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { Fault } from '../../../../shared/faults.ts';
import { MAX_PHOTO_BYTES, PHOTO_NAME } from '../../../../shared/model/cuttings/diary.ts';
import { photoType } from '../../../domain/diary/photo.ts';
import type { PhotoFolder } from '../../../ports.ts';
import { namesIn, putInPlace, setAside } from './aside.ts';
import { freeBytes } from './disk.ts';
import { copyForeign } from './foreign-file.ts';

const FOLDER = 'photos';
/** Small pictures: whoever looks at a photo makes its own again, so they are in no backup. */
const SMALL_FOLDER = 'thumbnails';
/** What a photo is called until its entry is committed, or its copy is whole. */
const STAGED = '.staged';
/** A photo must leave this free: the record comes first. */
const KEEP_FREE_BYTES = 32 * 1024 * 1024;

/** Where the photos of a record lie: beside it, and beside its backups in a folder of their own. */
export function photosBeside(file: string): string {
  return join(dirname(file), FOLDER);
}

/** The name of a photo: what it holds, so that the same photo is kept once. */
function nameOf(bytes: Uint8Array, type: 'jpg' | 'png'): string {
  return `${createHash('sha256').update(bytes).digest('hex')}.${type}`;
}

/**
 * The folder of photos beside a record. Each is written under another name, flushed, and renamed, so that none is ever
 * there in part.
 */
export function photoFolder(recordFile: string): PhotoFolder {
  const folder = photosBeside(recordFile);
  const smallFolder = join(dirname(recordFile), SMALL_FOLDER);
  const pathOf = (name: string) => join(folder, name);
  const smallOf = (name: string) => join(smallFolder, `${name}.small`);
  let staged = 0;
  return {
    async stage({ bytes, type }) {
      const name = nameOf(bytes, type);
      staged += 1;
      const path = `${pathOf(name)}.${staged}${STAGED}`;
      await refusing(async () => {
        mkdirSync(folder, { recursive: true, mode: 0o700 });
        requireRoom(folder, bytes.length);
        await writeWhole(path, bytes);
      });
      return {
        name,
        keep: () => putInPlace({ from: path, to: pathOf(name) }),
        drop: () => rmSync(path, { force: true }),
      };
    },
    nameOf: ({ bytes, type }) => nameOf(bytes, type),
    has: (name) => PHOTO_NAME.test(name) && existsSync(pathOf(name)),
    read: (name) => refusing(() => fileOr(name, pathOf(name))),
    readSmall: (name) => refusing(() => fileOr(name, smallOf(name))),
    keepSmall: (name, bytes) =>
      refusing(async () => {
        staged += 1;
        const path = `${smallOf(name)}.${staged}${STAGED}`;
        mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
        requireRoom(dirname(path), bytes.length);
        await writeWhole(path, bytes);
        putInPlace({ from: path, to: smallOf(name) });
      }),
    remove(name) {
      if (!PHOTO_NAME.test(name)) return;
      rmSync(pathOf(name), { force: true });
      rmSync(smallOf(name), { force: true });
    },
    recover(isKept) {
      for (const small of namesIn(smallFolder))
        if (!isKept(small.replace(/\.small$/, ''))) rmSync(join(smallFolder, small), { force: true });
      for (const found of namesIn(folder).filter((name) => name.endsWith(STAGED))) {
        const [hash = '', ending = ''] = found.split('.');
        const name = `${hash}.${ending}`;
        if (PHOTO_NAME.test(name) && isKept(name) && !existsSync(pathOf(name)))
          renameSync(pathOf(found), pathOf(name));
        else rmSync(pathOf(found), { force: true });
      }
    },
  };
}

async function fileOr(name: string, path: string): Promise<Uint8Array | null> {
  return PHOTO_NAME.test(name) && existsSync(path) ? await readFile(path) : null;
}

function requireRoom(folder: string, bytes: number): void {
  if (freeBytes(folder) >= bytes + KEEP_FREE_BYTES) return;
  throw new Fault({ code: 'store-failed', message: 'The photo was not kept: the disk is full.' });
}

/** On the disk when this returns; after a failure nothing is left. */
async function writeWhole(path: string, bytes: Uint8Array): Promise<void> {
  try {
    const file = await open(path, 'wx', 0o600);
    try {
      await file.writeFile(bytes);
      await file.sync();
    } finally {
      await file.close();
    }
  } catch (cause) {
    rmSync(path, { force: true });
    throw cause;
  }
}

async function refusing<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (cause) {
    if (cause instanceof Fault) throw cause;
    const why = cause instanceof Error ? cause.message : String(cause);
    throw new Fault({ code: 'store-failed', message: `The photo could not be kept or read: ${why}.`, cause });
  }
}

/** Photos in a folder, by their names. */
export function photosIn(folder: string): string[] {
  return namesIn(folder).filter((name) => PHOTO_NAME.test(name));
}

/**
 * Lays the photos of a record beside its backups, each once: a second name of the same file where the disk allows it,
 * else a copy.
 * @throws Error when one cannot be copied, or would not leave enough free
 */
export function backUpPhotos({ from, to }: { readonly from: string; readonly to: string }): void {
  const there = new Set(photosIn(to));
  const missing = photosIn(from).filter((name) => !there.has(name));
  if (missing.length === 0) return;
  mkdirSync(to, { recursive: true, mode: 0o700 });
  for (const name of missing) link(join(from, name), join(to, name));
}

function link(from: string, to: string): void {
  try {
    linkSync(from, to);
  } catch (cause) {
    // removed meanwhile, its time being over, or laid there by another backup
    if (!existsSync(from) || existsSync(to)) return;
    if (freeBytes(dirname(to)) < statSync(from).size + KEEP_FREE_BYTES)
      throw new Error('the photos do not fit on the disk', { cause });
    const partial = `${to}${STAGED}`;
    copyFileSync(from, partial);
    putInPlace({ from: partial, to });
  }
}

/** Removes photos from a folder. */
export function dropPhotos(folder: string, names: readonly string[]): void {
  for (const name of names) if (PHOTO_NAME.test(name)) rmSync(join(folder, name), { force: true });
}

/**
 * Moves the photos of a record aside with it, and brings those that a restored record names: from beside the backup, or
 * from what was moved aside.
 * @param photos.wanted their names
 * @returns those that were found nowhere, or are not what their name says
 */
export function restorePhotos(photos: {
  readonly wanted: readonly string[];
  readonly backupFile: string;
  readonly recordFile: string;
  readonly asideSuffix: string;
}): { readonly restored: number; readonly missing: readonly string[] } {
  const folder = photosBeside(photos.recordFile);
  const aside = existsSync(folder) ? setAside({ file: folder, suffix: photos.asideSuffix }) : null;
  if (photos.wanted.length > 0) mkdirSync(folder, { recursive: true, mode: 0o700 });
  const sources = [...photosOf(photos.backupFile, photos.recordFile), ...(aside === null ? [] : [aside])];
  const missing = photos.wanted.filter(
    (name) => !sources.some((source) => brought(join(source, name), folder)),
  );
  return { restored: photos.wanted.length - missing.length, missing };
}

/** Where the photos of a file lie that is restored: a record that was moved aside had its photos moved with it. */
function photosOf(file: string, recordFile: string): string[] {
  const start = basename(recordFile);
  const suffix = basename(file).startsWith(start) ? basename(file).slice(start.length) : '';
  return [photosBeside(file), ...(suffix === '' ? [] : [`${photosBeside(file)}${suffix}`])];
}

function isWhatItSays(path: string, name: string): boolean {
  const bytes = readFileSync(path);
  const type = photoType(bytes);
  return type !== null && nameOf(bytes, type) === name;
}

/** Copies a photo that holds what its name says; whatever else lies there is left alone. */
function brought(from: string, folder: string): boolean {
  const to = join(folder, basename(from));
  const partial = `${to}${STAGED}`;
  try {
    const size = statSync(from, { throwIfNoEntry: false })?.size ?? 0;
    if (size === 0 || size > MAX_PHOTO_BYTES) return false;
    copyForeign({ from, to: partial }, () => undefined);
    if (!isWhatItSays(partial, basename(from))) return false;
    putInPlace({ from: partial, to });
    return true;
  } catch (cause) {
    if (cause instanceof Fault) return false;
    throw cause;
  } finally {
    rmSync(partial, { force: true });
  }
}
