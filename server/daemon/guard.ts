import type { Place } from '../../shared/model/place.ts';
import type { Timers } from '../ports.ts';
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

/** Timers whose turns never end the process: a turn that throws is noted, and those that repeat come round again. */
export function guardedTimers(timers: Timers, { troubles }: Noting): Timers {
  const guardedRun = (run: () => void) => () => {
    try {
      run();
    } catch (cause) {
      troubles.note({ rule: 'monitoring-fault', what: 'a turn of the daemon', cause });
    }
  };
  return {
    after: (delayMs, run) => timers.after(delayMs, guardedRun(run)),
    every: (everyMs, run) => timers.every(everyMs, guardedRun(run)),
    soon: (run) => timers.soon(guardedRun(run)),
  };
}
