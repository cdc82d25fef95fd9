import { Fault } from '../../../shared/faults.ts';
import {
  DIARY_EARLIEST_MS,
  MAX_DIARY_ENTRIES,
  MAX_PHOTO_BYTES,
  MAX_PHOTOS,
} from '../../../shared/model/cuttings/diary.ts';
import { entryAt } from '../../domain/batches/batch.ts';
import type { KeptEntry } from '../../domain/diary/entry.ts';
import { photoType } from '../../domain/diary/photo.ts';
import { END_MS } from '../../domain/diary/view.ts';
import type { EntryAbout, NewEntry, PhotoFolder } from '../../ports.ts';
import { badRequest, type EntryContext, isoOf, requireBatch, requireLivePlace } from '../batches/context.ts';
import { commit, requireNoneOpen } from '../services/orders.ts';

/** @throws Fault `bad-request` unless a time lies between the year 2000 and now */
export function requireTime(atMs: number, { clock }: EntryContext): number {
  if (atMs >= DIARY_EARLIEST_MS && atMs <= clock.nowMs()) return atMs;
  const message = `"at" must lie between 1 January 2000 and now, ${isoOf(clock.nowMs())}; it is ${isoOf(atMs)}.`;
  throw badRequest('at', message);
}

type Written = Pick<NewEntry, 'kind' | 'note' | 'by' | 'photo'> & { readonly atMs: number | null };

/** An entry with where it belongs; a vent of one tap is over at once: only one with a start and no end is open. */
export function newEntry(written: Written, about: EntryAbout, context: EntryContext): NewEntry {
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

/** Inside a transaction. @returns its number @throws Fault `bad-request` where there is no space for it */
export function addEntry(entry: NewEntry, context: EntryContext): number {
  makeRoom(entry, context);
  return context.store.diary.add(entry);
}

/** Of too many, the oldest of those that were deleted goes. @throws Fault `bad-request` where none was */
function makeRoom({ photo }: NewEntry, { store }: EntryContext): void {
  const { entries, photos } = store.diary.counts();
  if (photo !== null && photos >= MAX_PHOTOS)
    throw badRequest('photo', `There are ${MAX_PHOTOS} photos already: delete some; they go after 30 days.`);
  if (entries < MAX_DIARY_ENTRIES) return;
  const spare = store.diary.lapsed(END_MS, MAX_PHOTOS + 1).find((one) => one.photo === null);
  if (!spare) throw badRequest('body', `There are ${MAX_DIARY_ENTRIES} entries already: delete some first.`);
  store.diary.remove(spare.id);
}

/** Where that cannot be read, the next start finds out. */
function hasPhoto(name: string, { diary }: EntryContext['store']): boolean {
  try {
    return diary.withPhoto(name) > 0;
  } catch {
    return true;
  }
}

/** What a photo is. @throws Fault `not-a-photo`, `photo-too-large` */
export function requirePhoto(bytes: Uint8Array): 'jpg' | 'png' {
  if (bytes.length > MAX_PHOTO_BYTES)
    throw new Fault({ code: 'photo-too-large', message: 'A photo may have 8 MB at most.' });
  const type = photoType(bytes);
  if (type !== null) return type;
  throw new Fault({
    code: 'not-a-photo',
    message: 'A photo must be a JPEG or a PNG file; this one is neither by its first bytes.',
  });
}

type WithPhoto = {
  readonly bytes: Uint8Array;
  readonly type: 'jpg' | 'png';
  /** @param photo its name */
  readonly entryOf: (photo: string) => NewEntry;
};

/** Keeps a photo with its entry: on the disk first, under its name once the entry is committed. @returns its number */
export async function addWithPhoto(
  { bytes, type, entryOf }: WithPhoto,
  context: EntryContext & { readonly photos: PhotoFolder },
): Promise<number> {
  const staged = await context.photos.stage({ bytes, type });
  try {
    const id = commit(context, () => addEntry(entryOf(staged.name), context));
    staged.keep();
    return id;
  } catch (cause) {
    if (!hasPhoto(staged.name, context.store)) staged.drop();
    throw cause;
  }
}

/** A cover that is written down as open is not opened twice. */
export function requireOneOpen(
  entry: Pick<KeptEntry, 'id' | 'kind' | 'placeId' | 'atMs' | 'toMs'>,
  { store }: EntryContext,
): void {
  const { id, kind, placeId, atMs: fromMs, toMs } = entry;
  if (kind === 'vented' && placeId !== null) requireNoneOpen(placeId, { id, fromMs, toMs }, { store });
}
