import { shiftedAlarm, shiftedLatest } from '../../domain/clock/shifted.ts';
import type { Clock, Log, Store } from '../../ports.ts';
import type { World } from '../world/world.ts';
import type { ClockWatch } from './clock-watch.ts';
import { moveWaiting } from './move-waiting.ts';

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
  const sampledMs = new Map<string, number>();
  const litSinceMs = new Map<string, number>();
  clockWatch.follow((byMs) => {
    started.atMs += byMs;
    sampledMs.clear();
    for (const [placeId, sinceMs] of litSinceMs) litSinceMs.set(placeId, sinceMs + byMs);
    moveAlarms(byMs, { world, store, log });
    moveMemory(byMs, world);
  });
  return { started, sampledMs, litSinceMs, clockJumps: clockWatch.jumps };
}

/** Alarms and what waits in the record; a record that refuses may have the world read again meanwhile. */
function moveAlarms(byMs: number, { world, store, log }: Pick<FollowDeps, 'world' | 'store' | 'log'>): void {
  const moved = [...world.alarms].map(([id, record]) => [id, shiftedAlarm(record, byMs)] as const);
  moveWaiting(
    moved.map(([, record]) => record),
    { byMs, store, log },
  );
  for (const [id, record] of moved) world.alarms.set(id, record);
}

function moveMemory(byMs: number, world: World): void {
  for (const [id, latest] of world.latest) world.latest.set(id, shiftedLatest(latest, byMs));
  for (const [id, trail] of world.trails) {
    const moved = trail.map((step) => ({ ...step, tMs: step.tMs + byMs }));
    world.trails.set(id, moved);
  }
  world.annunciated = world.annunciated.map((one) => ({ ...one, atMs: one.atMs + byMs }));
}
