import { DIARY_UNDO_MS } from '../../../shared/model/cuttings/diary.ts';
import type { Clock, Log, PhotoFolder, Store, Timers } from '../../ports.ts';

/** How often what can no longer be restored is looked for, ms, and most of it at once. */
const LAPSE_EVERY_MS = 3_600_000;
const MOST_AT_ONCE = 50;

type UpkeepDeps = {
  readonly store: Store;
  readonly photos: PhotoFolder;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  /** whether the clock was right for long enough that time may pass */
  readonly mayForget: () => boolean;
};

/** Ends what a crash left of photos, and removes for good what was deleted 30 days ago. @returns what stops it */
export function startDiaryUpkeep(deps: UpkeepDeps): () => void {
  const { store, photos, timers, log } = deps;
  const trying = (what: string, run: () => void) => {
    try {
      run();
    } catch (cause) {
      log.warn(what, { error: String(cause) });
    }
  };
  trying('photos that were not finished could not be looked through', () =>
    photos.recover((name) => store.diary.withPhoto(name) > 0),
  );
  return timers.every(LAPSE_EVERY_MS, () =>
    trying('old entries of the diary could not be removed; trying again', () => removeLapsed(deps)),
  );
}

/** The file first: an entry without one is found again, a file without an entry never. */
function removeLapsed({ store, photos, clock, mayForget }: UpkeepDeps): void {
  if (!mayForget() || !store.lasting()) return;
  for (const { id, photo } of store.diary.lapsed(clock.nowMs() - DIARY_UNDO_MS, MOST_AT_ONCE)) {
    const isAlone = photo !== null && store.diary.withPhoto(photo) === 1;
    if (photo !== null && isAlone) photos.remove(photo);
    store.transaction(() => store.diary.remove(id));
  }
}
