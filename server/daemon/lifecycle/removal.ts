import { isOver, withDay } from '../../domain/lifecycle/removal.ts';
import type { ArchiveItem, Clock, Log, Store, Timers } from '../../ports.ts';

/** Between turns while something is being removed, and while nothing is, ms. */
const BUSY_MS = 20;
const IDLE_MS = 60_000;
const FIRST_MS = 5_000;

type RemovalDeps = {
  readonly store: Store;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  /** called once an item is gone, so that its names are free again */
  readonly gone: (item: ArchiveItem) => void;
};

/** Removes for good what was deleted 30 days ago, a few rows a turn, for as long as the daemon runs. */
export function startRemoval(deps: RemovalDeps): { stop(): void; soon(): void } {
  const { timers, log } = deps;
  let stop: () => void = () => undefined;
  const turn = () => {
    let more = false;
    try {
      more = removalTurn(deps);
    } catch (cause) {
      log.error('what was deleted could not be removed; trying again', { error: String(cause) });
    }
    stop = timers.after(more ? BUSY_MS : IDLE_MS, turn);
  };
  stop = timers.after(FIRST_MS, turn);
  return {
    stop: () => stop(),
    soon() {
      stop();
      stop = timers.after(BUSY_MS, turn);
    },
  };
}

/** @returns true while more is to be removed */
function removalTurn({ store, clock, gone }: Omit<RemovalDeps, 'timers' | 'log'>): boolean {
  const items = store.archive.items();
  const removing = items.find(({ state }) => state === 'removing');
  if (!removing) return countDays(items, { store, clock });
  if (store.archive.removeSome(removing.id)) return true;
  gone(removing);
  return store.archive.items().some(({ state }) => state === 'removing');
}

/** @returns true when something is over */
function countDays(items: readonly ArchiveItem[], { store, clock }: Pick<RemovalDeps, 'store' | 'clock'>) {
  const nowMs = clock.nowMs();
  const counted = items.flatMap((item): ArchiveItem[] => {
    const days = item.state === 'deleted' ? withDay(item, nowMs) : item;
    if (days === item) return [];
    const { countedDays, countedMs } = days;
    const state = isOver(days) ? 'removing' : 'deleted';
    return [{ ...item, state, countedDays, countedMs }];
  });
  if (counted.length > 0)
    store.transaction(() => {
      for (const item of counted) store.archive.update(item);
    });
  return counted.some(({ state }) => state === 'removing');
}
