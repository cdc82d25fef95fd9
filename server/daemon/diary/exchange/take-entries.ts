import type { EntryLine } from '../../../../shared/model/cuttings/entry-line.ts';
import { committed } from '../../batches/exchange/dry-run.ts';
import { asRefusal } from '../../batches/exchange/refusal.ts';
import { addEntry, addWithPhoto } from '../entries.ts';
import { type EntryImportContext, entryOf, type ReadEntry, readEntry } from './enter-entry.ts';

/** Entries that are entered in one commit. */
const ENTRIES_A_COMMIT = 200;

type NumberedEntry = ReadEntry & { readonly nth: number };
type Options = {
  readonly dryRun: boolean;
  readonly refuse: (nth: number, reason: string) => void;
};

/**
 * Enters entries of the diary, many in one commit; one that carries a photo in a commit of its own, as the photo must lie
 * on the disk first.
 */
export function takeEntries({ dryRun, refuse }: Options, context: EntryImportContext) {
  const sums = { entries: 0, photos: 0, missing: 0 };
  let nth = 0;
  let waiting: NumberedEntry[] = [];

  const count = (photo: boolean) => {
    sums.entries += 1;
    if (photo) sums.photos += 1;
  };
  const photoHere = ({ photo = null }: EntryLine) => {
    if (photo === null || context.photos.has(photo)) return photo;
    sums.missing += 1;
    return null;
  };
  const enter = ({ line, nth: number }: NumberedEntry) => {
    try {
      const entry = entryOf(line, photoHere(line), context);
      if (entry !== null) addEntry(entry, context);
      count(entry !== null && entry.photo !== null);
    } catch (cause) {
      refuse(number, asRefusal(cause));
    }
  };
  const enterWaiting = () => {
    if (waiting.length === 0) return;
    const now = waiting;
    waiting = [];
    committed(dryRun, context, () => now.forEach(enter));
  };
  const enterPhoto = async ({
    line,
    photo,
    nth: number,
  }: NumberedEntry & { photo: NonNullable<ReadEntry['photo']> }) => {
    try {
      const entry = entryOf(line, null, context);
      if (!dryRun && entry !== null)
        await addWithPhoto({ ...photo, entryOf: (name) => ({ ...entry, photo: name }) }, context);
      count(true);
    } catch (cause) {
      refuse(number, asRefusal(cause));
    }
  };
  return {
    sums: () => sums,
    enterWaiting,
    async take(item: unknown): Promise<void> {
      nth += 1;
      const read = readOr(item, context, (reason) => {
        enterWaiting();
        refuse(nth, reason);
      });
      if (read === null) return;
      const { line, photo } = read;
      if (photo !== null) {
        enterWaiting();
        return enterPhoto({ line, photo, nth });
      }
      waiting.push({ line, photo, nth });
      if (waiting.length >= ENTRIES_A_COMMIT) enterWaiting();
    },
  };
}

function readOr(
  item: unknown,
  context: EntryImportContext,
  refuse: (reason: string) => void,
): ReadEntry | null {
  try {
    return readEntry(item, context);
  } catch (cause) {
    refuse(asRefusal(cause));
    return null;
  }
}
