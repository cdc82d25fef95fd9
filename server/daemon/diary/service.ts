import { Fault } from '../../../shared/faults.ts';
import { DIARY_UNDO_MS, MAX_THUMBNAIL_BYTES } from '../../../shared/model/cuttings/diary.ts';
import { type KeptEntry, movedTo } from '../../domain/diary/entry.ts';
import { mediaTypeOf, photoType } from '../../domain/diary/photo.ts';
import { aboutBatch, END_MS, entryView } from '../../domain/diary/view.ts';
import type { DiaryService, PhotoFolder } from '../../ports.ts';
import { type BatchContext, badRequest, requireBatch } from '../batches/context.ts';
import { commit } from '../services/orders.ts';
import { addEntry, addWithPhoto, newEntry, requireOneOpen, requirePhoto, requireTime } from './entries.ts';

type DiaryContext = BatchContext & { readonly photos: PhotoFolder };

/** Where a list goes on: time and number of the last entry. */
const CURSOR = /^(\d{1,15})\.(\d{1,15})$/;
/** What people write down about places and batches: committed before it returns. */
export function createDiaryService(context: DiaryContext): DiaryService {
  const get = (id: string) => entryView(requireEntry(id, context));
  return {
    list: (query) => listed(query, context),
    get,
    add: ({ kind, atMs, note, by, ...about }) => {
      const entry = newEntry({ kind, atMs, note, by, photo: null }, about, context);
      return get(String(commit(context, () => addEntry(entry, context))));
    },
    addPhoto: async (order, bytes) => get(String(await addPhoto(order, bytes, context))),
    photo: (id) => photoOf(requireEntry(id, context), context),
    thumbnail: (id) => thumbnailOf(requireEntry(id, context), context),
    keepThumbnail: (id, bytes) => keepThumbnail(requireEntry(id, context), bytes, context),
    change(id, change) {
      changeEntry(requireEntry(id, context), change, context);
      return get(id);
    },
    remove(id) {
      const entry = requireEntry(id, context);
      commit(context, () =>
        context.store.diary.update({ ...entry, deletedMs: Math.max(1, context.clock.nowMs()) }),
      );
    },
    restore(id) {
      restoreEntry(id, context);
      return get(id);
    },
  };
}

function keptEntry(id: string, { store }: DiaryContext): KeptEntry | null {
  return /^\d{1,15}$/.test(id) ? store.diary.get(Number(id)) : null;
}

/** @throws Fault `not-found`, for one that was deleted too */
function requireEntry(id: string, context: DiaryContext): KeptEntry {
  const entry = keptEntry(id, context);
  if (entry && entry.deletedMs === null) return entry;
  throw notFound(id);
}

function notFound(id: string): Fault {
  return new Fault({ code: 'not-found', message: `There is no entry ${id}; GET /api/v1/diary lists them.` });
}

async function addPhoto(
  { atMs, note, by, ...about }: Parameters<DiaryService['addPhoto']>[0],
  bytes: Uint8Array,
  context: DiaryContext,
): Promise<number> {
  // what does not fit is refused before anything is written
  newEntry({ kind: 'photo', atMs, note, by, photo: null }, about, context);
  const type = requirePhoto(bytes);
  // the place or the batch may be gone once it lies on the disk
  const entryOf = (photo: string) => newEntry({ kind: 'photo', atMs, note, by, photo }, about, context);
  return addWithPhoto({ bytes, type, entryOf }, context);
}

async function photoOf({ id, photo }: KeptEntry, { photos }: DiaryContext) {
  const bytes = photo === null ? null : await photos.read(photo);
  if (bytes !== null && photo !== null) return { bytes, mediaType: mediaTypeOf(photo) };
  const why = photo === null ? 'has no photo' : 'had a photo, and its file is gone';
  throw new Fault({ code: 'not-found', message: `Entry ${id} ${why}.` });
}

async function thumbnailOf(entry: KeptEntry, context: DiaryContext) {
  const small = entry.photo === null ? null : await context.photos.readSmall(entry.photo);
  if (small !== null) return { bytes: small, mediaType: 'image/jpeg', isWhole: false };
  return { ...(await photoOf(entry, context)), isWhole: true };
}

async function keepThumbnail({ id, photo }: KeptEntry, bytes: Uint8Array, { photos }: DiaryContext) {
  if (photo === null) throw new Fault({ code: 'not-found', message: `Entry ${id} has no photo.` });
  if (bytes.length > MAX_THUMBNAIL_BYTES)
    throw new Fault({ code: 'photo-too-large', message: 'A small picture may have 64 KiB at most.' });
  if (photoType(bytes) !== 'jpg')
    throw new Fault({ code: 'not-a-photo', message: 'A small picture must be a JPEG file.' });
  await photos.keepSmall(photo, bytes);
}

function changeEntry(
  entry: KeptEntry,
  { atMs, note = entry.note }: Parameters<DiaryService['change']>[1],
  context: DiaryContext,
): void {
  const { store, clock } = context;
  const moved = atMs === undefined ? entry : movedTo(entry, requireTime(atMs, context), clock.nowMs());
  if (moved !== entry) requireOneOpen(moved, context);
  commit(context, () => store.diary.update({ ...moved, note }));
}

/** Undoes a deletion; of an entry that was not deleted nothing changes. */
function restoreEntry(id: string, context: DiaryContext): void {
  const entry = keptEntry(id, context);
  if (!entry || isLapsed(entry, context.clock.nowMs())) throw notFound(id);
  if (entry.deletedMs === null) return;
  requireOneOpen(entry, context);
  commit(context, () => context.store.diary.update({ ...entry, deletedMs: null }));
}

function isLapsed({ deletedMs, placeId, batchId }: KeptEntry, nowMs: number): boolean {
  if (placeId === null && batchId === null) return true;
  return deletedMs !== null && deletedMs < nowMs - DIARY_UNDO_MS;
}

type ListQuery = Parameters<DiaryService['list']>[0];

function listed(query: ListQuery, context: DiaryContext): ReturnType<DiaryService['list']> {
  const { fromMs, toMs, deleted, limit, after, placeId, batchId } = query;
  if (fromMs !== null && toMs !== null && fromMs >= toMs)
    throw badRequest('from', 'The span must have `from` before `to`.');
  const found = context.store.diary.list({
    placeId,
    batch: batchId === null ? null : aboutBatch(requireBatch(batchId, context)),
    fromMs: fromMs ?? Number.MIN_SAFE_INTEGER,
    toMs: toMs ?? END_MS,
    deleted,
    after: after === null ? null : placeIn(after),
    limit: limit + 1,
  });
  const entries = found.slice(0, limit);
  const last = entries.at(-1);
  const next = found.length > limit && last !== undefined ? `${last.atMs}.${last.id}` : null;
  return { entries: entries.map(entryView), next };
}

function placeIn(after: string): { readonly atMs: number; readonly id: number } {
  const [whole, atMs, id] = CURSOR.exec(after) ?? [];
  if (whole === undefined) throw badRequest('cursor', '"cursor" must be the `next` of an earlier answer.');
  return { atMs: Number(atMs), id: Number(id) };
}
