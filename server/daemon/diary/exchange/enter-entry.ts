import { type EntryLine, entryLineSchema } from '../../../../shared/model/cuttings/entry-line.ts';
import { readItem } from '../../../../shared/model/read-item.ts';
import type { NewEntry, PhotoFolder } from '../../../ports.ts';
import type { EntryContext } from '../../batches/context.ts';
import { namedBatch, namedWords } from '../../batches/exchange/named-batch.ts';
import { refusal } from '../../batches/exchange/refusal.ts';
import { newEntry, requireOneOpen, requirePhoto } from '../entries.ts';

export type EntryImportContext = EntryContext & {
  readonly photos: PhotoFolder;
  /** whether a batch that is not here yet comes with the file: in a dry run nothing of it is kept */
  readonly isComing: (line: EntryLine) => boolean;
};

/** A line that was read, with its photo where it carries one. */
export type ReadEntry = {
  readonly line: EntryLine;
  readonly photo: { readonly bytes: Uint8Array; readonly type: 'jpg' | 'png' } | null;
};

/** @throws Fault `bad-request`, `not-a-photo`, `photo-too-large` */
export function readEntry(item: unknown, { photos }: Pick<EntryImportContext, 'photos'>): ReadEntry {
  const line = readItem(entryLineSchema, item);
  if (line.photoData === undefined) return { line, photo: null };
  const bytes = new Uint8Array(Buffer.from(line.photoData, 'base64'));
  const photo = { bytes, type: requirePhoto(bytes) };
  if (line.photo != null && photos.nameOf(photo) !== line.photo)
    throw refusal('"photoData" is not the photo that "photo" names: the file was changed.');
  return { line, photo };
}

/**
 * An entry as its line has it; the same one that is there already is refused.
 * @param photo name of its photo, null for none
 * @returns null in a dry run, where its batch comes with the file
 * @throws Fault `bad-request`
 */
export function entryOf(line: EntryLine, photo: string | null, context: EntryImportContext): NewEntry | null {
  const { kind, at: atMs, to = null, place: placeId = null, note = null, by = null } = line;
  const batch = namedBatch(line, context);
  if (batch === 'unknown') {
    if (context.isComing(line)) return null;
    throw refusal(`Its batch is not here: ${namedWords(line)}. Import the batches first.`);
  }
  const batchId = batch === null ? null : String(batch.id);
  const entry = {
    ...newEntry({ kind, atMs, note, by, photo }, { placeId, batchId }, context),
    toMs: endOf(line),
  };
  requireNew(entry, context);
  requireOneOpen({ ...entry, id: 0 }, context);
  return entry;

  function endOf(of: EntryLine): number | null {
    if (of.kind !== 'vented') return null;
    if (to !== null && (to < atMs || to > context.clock.nowMs()))
      throw refusal('"to" must lie between "at" and now.');
    return to;
  }
}

/** Most entries of one instant that are looked through for the same one. */
const MOST_AT_ONCE = 1_000;

function requireNew({ kind, atMs, note, placeId, batchId }: NewEntry, { store }: EntryImportContext): void {
  const span = { fromMs: atMs, toMs: atMs + 1, deleted: false, after: null, limit: MOST_AT_ONCE };
  const same = store.diary
    .list({ placeId, batch: null, ...span })
    .find(
      (one) => one.kind === kind && one.note === note && one.placeId === placeId && one.batchId === batchId,
    );
  if (same) throw refusal(`It is there already, as entry ${same.id}.`);
}
