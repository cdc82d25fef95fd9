import { Fault } from '../../shared/faults.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
import type { Clock, Log, Store } from '../ports.ts';

export type Writability = ReturnType<typeof watchWrites>;

/**
 * Watches whether the store takes what is written, and finds out by itself when it does again.
 * @returns the store to use from now on, and what is known of it
 */
export function watchWrites({ store, clock, log }: { store: Store; clock: Clock; log: Log }) {
  let sinceMs: number | null = null;
  const taken = () => {
    if (sinceMs !== null) log.info('the record is written again');
    sinceMs = null;
  };
  /** Notes that the store refused, where that is what went wrong. */
  const refused = (cause: unknown) => {
    if (!(cause instanceof Fault) || cause.code !== 'store-failed' || sinceMs !== null) return;
    sinceMs = clock.nowMs();
    log.error('the record cannot be written: nothing is acknowledged until it can', { error: cause.message });
  };
  const noting = <T>(work: () => T): T => {
    try {
      const result = work();
      taken();
      return result;
    } catch (cause) {
      refused(cause);
      throw cause;
    }
  };
  const watched: Store = {
    ...store,
    transaction: (work) => noting(() => store.transaction(work)),
    touch: () => noting(() => store.touch()),
  };
  return {
    store: watched,
    refused,
    writable: () => sinceMs === null,
    facts: (): HouseFacts['store'] => ({
      writable: sinceMs === null,
      since: sinceMs === null ? null : new Date(sinceMs).toISOString(),
    }),
    /** Tries a small write while the store is known to refuse. */
    turn() {
      if (sinceMs === null) return;
      try {
        watched.touch();
      } catch (cause) {
        if (!(cause instanceof Fault)) throw cause;
      }
    },
  };
}
