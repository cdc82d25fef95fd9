import { Fault } from '../../../shared/faults.ts';
import { shiftedAlarm, shiftedHeard } from '../../domain/clock/shifted.ts';
import type { Clock, Log, Store } from '../../ports.ts';
import type { World } from '../world.ts';
import type { ClockWatch } from './clock-watch.ts';

type FollowDeps = {
  readonly clock: Clock;
  readonly store: Store;
  readonly log: Log;
  readonly world: World;
  readonly clockWatch: Pick<ClockWatch, 'follow' | 'jumps'>;
};

/** What the watch remembers by the wall clock, moved with it whenever it is set; so is all else that is held in memory. */
export function movingWithClock({ clock, store, log, world, clockWatch }: FollowDeps) {
  const started = { atMs: clock.nowMs() };
  const lookedUpMs = new Map<string, number>();
  clockWatch.follow((byMs) => {
    started.atMs += byMs;
    lookedUpMs.clear();
    moveMemory(byMs, world);
    moveRecord(byMs, { world, store, log });
  });
  return { started, lookedUpMs, clockJumps: clockWatch.jumps };
}

function moveMemory(byMs: number, world: World): void {
  for (const [id, heard] of world.heard) world.heard.set(id, shiftedHeard(heard, byMs));
  for (const [id, trail] of world.trails) {
    const moved = trail.map((step) => ({ ...step, tMs: step.tMs + byMs }));
    world.trails.set(id, moved);
  }
  world.annunciated = world.annunciated.map((one) => ({ ...one, atMs: one.atMs + byMs }));
  for (const [id, record] of world.alarms) world.alarms.set(id, shiftedAlarm(record, byMs));
}

function moveRecord(byMs: number, { world, store, log }: Pick<FollowDeps, 'world' | 'store' | 'log'>): void {
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
