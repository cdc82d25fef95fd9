import { Fault } from '../../../shared/faults.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import type { Log, Store } from '../../ports.ts';

type Moving = { readonly byMs: number; readonly store: Store; readonly log: Log };

/**
 * Keeps alarms as they are after a jump, and moves by it what waits for a moment of its own: messages, callings, tests.
 * While the record cannot be written, in what stands in for it.
 */
export function moveWaiting(alarms: readonly AlarmRecord[], { byMs, store, log }: Moving): void {
  try {
    store.carryOn(() => {
      for (const record of alarms) store.alarms.save(record);
      store.clock.shiftPending(byMs);
    });
  } catch (cause) {
    if (!(cause instanceof Fault)) throw cause;
    log.error('what waits in the record could not be moved with the clock', { error: cause.message });
  }
}
