import type { Place } from '../../../shared/model/place.ts';
import type { Timers } from '../../ports.ts';
import { isOfRecord } from './inbox.ts';
import type { Troubles } from './troubles.ts';

type Noting = { readonly troubles: Pick<Troubles, 'note'> };

/**
 * Does a part of a turn; a mistake of our own in it is noted and must not stop the other parts.
 * @param otherwise what it comes to then
 * @throws Fault `store-failed` when the record as a whole refuses
 */
export function guarded<T>(
  what: string,
  work: () => T,
  { troubles, otherwise }: Noting & { otherwise: T },
): T {
  try {
    return work();
  } catch (cause) {
    if (isOfRecord(cause)) throw cause;
    troubles.note({ rule: 'monitoring-fault', what, cause });
    return otherwise;
  }
}

/** What is not monitored when judging a place fails; `null` for what belongs to no place. */
export function alarmsOf(place: Pick<Place, 'name'> | null | undefined): string {
  return place ? `alarms of ${place.name}` : 'alarms of this installation';
}

/**
 * Timers whose turns cannot end the process: those that repeat come round again.
 * @param failed is handed what a turn threw, or why its promise was rejected
 */
export function guardedTimers({ after, every, soon }: Timers, failed: (cause: unknown) => void): Timers {
  const guardedRun = (run: () => unknown) => () => {
    try {
      const result = run();
      if (result instanceof Promise) result.catch(failed);
    } catch (cause) {
      failed(cause);
    }
  };
  return {
    after: (delayMs, run) => after(delayMs, guardedRun(run)),
    every: (everyMs, run) => every(everyMs, guardedRun(run)),
    soon: (run) => soon(guardedRun(run)),
  };
}
