import { Fault } from '../../../shared/faults.ts';
import { shiftedAlarm, shiftedHeard } from '../../domain/clock/shifted.ts';
import type { Log, Store } from '../../ports.ts';
import type { World } from '../world.ts';

/** Moves what is held in memory with a clock that was set, and then what waits in the record. */
export function followClock(
  byMs: number,
  { world, store, log }: { world: World; store: Store; log: Log },
): void {
  for (const [id, heard] of world.heard) world.heard.set(id, shiftedHeard(heard, byMs));
  for (const [id, trail] of world.trails)
    world.trails.set(
      id,
      trail.map((step) => ({ ...step, tMs: step.tMs + byMs })),
    );
  world.annunciated = world.annunciated.map((one) => ({ ...one, atMs: one.atMs + byMs }));
  for (const [id, record] of world.alarms) world.alarms.set(id, shiftedAlarm(record, byMs));
  try {
    store.transaction(() => {
      for (const record of world.alarms.values()) store.alarms.save(record);
      store.clock.shiftPending(byMs);
    });
  } catch (cause) {
    if (!(cause instanceof Fault)) throw cause;
    log.error('what waits in the record could not be moved with the clock', { error: cause.message });
  }
}
