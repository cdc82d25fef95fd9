import type { DiaryEntry } from '../../../shared/wire/cuttings/diary.ts';
import { endOf, holding, type KeptBatch } from '../batches/batch.ts';
import type { EntryQuery, KeptEntry } from './entry.ts';

/** Beyond all times that an entry may have, ms since epoch. */
export const END_MS = 8.64e15;

/** An entry as it is shown. */
export function entryView(entry: KeptEntry): DiaryEntry {
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

function isoOf(ms: number): string {
  return new Date(ms).toISOString();
}

/** Which entries are about a batch: its own, and those of the places where it stood, while it stood there. */
export function aboutBatch(batch: KeptBatch): NonNullable<EntryQuery['batch']> {
  const endMs = Math.min(endOf(batch), END_MS);
  const stays = holding(batch.stays, endMs).flatMap(({ placeId, fromMs, toMs }) =>
    placeId === null ? [] : [{ placeId, fromMs, toMs }],
  );
  return { id: batch.id, stays };
}
