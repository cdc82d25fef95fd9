import { Fault } from '../../../shared/faults.ts';
import {
  DIARY_EARLIEST_MS,
  DIARY_UNDO_MS,
  MAX_DIARY_ENTRIES,
  MAX_PHOTO_BYTES,
  MAX_PHOTOS,
} from '../../../shared/model/cuttings/diary.ts';
import type { DiaryEntry } from '../../../shared/wire/cuttings/diary.ts';
import { entryAt, holding } from '../../domain/batches/batch.ts';
import { type EntryQuery, type KeptEntry, movedTo } from '../../domain/diary/entry.ts';
import { mediaTypeOf, photoType } from '../../domain/diary/photo.ts';
import type { DiaryService, EntryAbout, NewEntry, PhotoFolder } from '../../ports.ts';
import { type BatchContext, badRequest, isoOf, requireBatch, requireLivePlace } from '../batches/context.ts';
import { commit, requireNoneOpen } from '../services/orders.ts';

type DiaryContext = BatchContext & { readonly photos: PhotoFolder };

/** Where a list goes on: time and number of the last entry. */
const CURSOR = /^(\d{1,15})\.(\d{1,15})$/;
/** Beyond all times that an entry may have, ms since epoch. */
const END_MS = 8.64e15;

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

/** @throws Fault `bad-request` unless a time lies between the year 2000 and now */
function requireTime(atMs: number, { clock }: DiaryContext): number {
  if (atMs >= DIARY_EARLIEST_MS && atMs <= clock.nowMs()) return atMs;
  const message = `"at" must lie between 1 January 2000 and now, ${isoOf(clock.nowMs())}; it is ${isoOf(atMs)}.`;
  throw badRequest('at', message);
}

type Written = Pick<NewEntry, 'kind' | 'note' | 'by' | 'photo'> & { readonly atMs: number | null };

/** An entry with where it belongs; a vent of one tap is over at once: only one with a start and no end is open. */
function newEntry(written: Written, about: EntryAbout, context: DiaryContext): NewEntry {
  const atMs = written.atMs === null ? context.clock.nowMs() : requireTime(written.atMs, context);
  const { placeId, batchId } = about;
  if (placeId === null && batchId === null)
    throw badRequest('placeId', 'An entry is about a place or a batch: name "placeId" or "batchId".');
  if (placeId !== null) requireLivePlace(placeId, context);
  const batch = batchId === null ? null : requireBatch(batchId, context);
  const stoodAt = batch === null ? null : (entryAt(batch.stays, atMs)?.placeId ?? null);
  const toMs = written.kind === 'vented' ? atMs : null;
  return { ...written, atMs, toMs, placeId: placeId ?? stoodAt, batchId: batch?.id ?? null };
}

function addEntry(entry: NewEntry, context: DiaryContext): number {
  makeRoom(entry, context);
  return context.store.diary.add(entry);
}

/** Of too many, the oldest of those that were deleted goes. @throws Fault `bad-request` where none was */
function makeRoom({ photo }: NewEntry, { store }: DiaryContext): void {
  const { entries, photos } = store.diary.counts();
  if (photo !== null && photos >= MAX_PHOTOS)
    throw badRequest('photo', `There are ${MAX_PHOTOS} photos already: delete some; they go after 30 days.`);
  if (entries < MAX_DIARY_ENTRIES) return;
  const spare = store.diary.lapsed(END_MS, MAX_PHOTOS + 1).find((one) => one.photo === null);
  if (!spare) throw badRequest('body', `There are ${MAX_DIARY_ENTRIES} entries already: delete some first.`);
  store.diary.remove(spare.id);
}

async function addPhoto(
  { atMs, note, by, ...about }: Parameters<DiaryService['addPhoto']>[0],
  bytes: Uint8Array,
  context: DiaryContext,
): Promise<number> {
  const { store, photos } = context;
  // what does not fit is refused before anything is written
  newEntry({ kind: 'photo', atMs, note, by, photo: null }, about, context);
  const type = requirePhoto(bytes);
  const staged = await photos.stage({ bytes, type });
  try {
    const id = commit(context, () => {
      // the place or the batch may be gone by now
      const entry = newEntry({ kind: 'photo', atMs, note, by, photo: staged.name }, about, context);
      return addEntry(entry, context);
    });
    staged.keep();
    return id;
  } catch (cause) {
    if (!hasPhoto(staged.name, store)) staged.drop();
    throw cause;
  }
}

/** Where that cannot be read, the next start finds out. */
function hasPhoto(name: string, { diary }: DiaryContext['store']): boolean {
  try {
    return diary.withPhoto(name) > 0;
  } catch {
    return true;
  }
}

function requirePhoto(bytes: Uint8Array): 'jpg' | 'png' {
  if (bytes.length > MAX_PHOTO_BYTES)
    throw new Fault({ code: 'photo-too-large', message: 'A photo may have 8 MB at most.' });
  const type = photoType(bytes);
  if (type !== null) return type;
  throw new Fault({
    code: 'not-a-photo',
    message: 'A photo must be a JPEG or a PNG file; this one is neither by its first bytes.',
  });
}

async function photoOf({ id, photo }: KeptEntry, { photos }: DiaryContext) {
  const bytes = photo === null ? null : await photos.read(photo);
  if (bytes !== null && photo !== null) return { bytes, mediaType: mediaTypeOf(photo) };
  const why = photo === null ? 'has no photo' : 'had a photo, and its file is gone';
  throw new Fault({ code: 'not-found', message: `Entry ${id} ${why}.` });
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

/** A cover that is written down as open is not opened twice. */
function requireOneOpen(entry: KeptEntry, { store }: DiaryContext): void {
  const { id, kind, placeId, atMs: fromMs, toMs } = entry;
  if (kind === 'vented' && placeId !== null) requireNoneOpen(placeId, { id, fromMs, toMs }, { store });
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
    batch: batchId === null ? null : batchOf(batchId, context),
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

function batchOf(id: string, context: DiaryContext): EntryQuery['batch'] {
  const batch = requireBatch(id, context);
  const endMs = batch.closed?.atMs ?? END_MS;
  const stays = holding(batch.stays, endMs).flatMap(({ placeId, fromMs, toMs }) =>
    placeId === null ? [] : [{ placeId, fromMs, toMs }],
  );
  return { id: batch.id, stays };
}

function placeIn(after: string): { readonly atMs: number; readonly id: number } {
  const [whole, atMs, id] = CURSOR.exec(after) ?? [];
  if (whole === undefined) throw badRequest('cursor', '"cursor" must be the `next` of an earlier answer.');
  return { atMs: Number(atMs), id: Number(id) };
}

function entryView(entry: KeptEntry): DiaryEntry {
  const { id, kind, atMs, toMs, placeId, batchId, note, by, photo, deletedMs } = entry;
  return {
    id: String(id),
    kind,
    at: isoOf(atMs),
    to: toMs === null ? null : isoOf(toMs),
    placeId,
    batchId: batchId === null ? null : String(batchId),
    note,
    by,
    photo: photo !== null,
    deletedAt: deletedMs === null ? null : isoOf(deletedMs),
  };
}
