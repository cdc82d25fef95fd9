import { momentary } from '../../domain/alarms/silence.ts';
import type { Clock, Keep, Store } from '../../ports.ts';
import { type AnnunciatorSettings, keepStep } from '../notify/annunciate.ts';
import type { World } from '../world/world.ts';

/** How often the daemon notes that it lives, ms: seldom, for the sake of a card. */
export const NOTE_EVERY_MS = 5 * 60_000;
/** Being down for less than this is a restart, not a hole in the watch; the note may be 5 min old itself. */
const WORTH_SAYING_MS = 10 * 60_000;
/** Under which name the note is kept. */
export const LAST_RUNNING = 'last-alive';

type DowntimeContext = {
  readonly world: World;
  readonly store: Store;
  readonly keep: Keep;
  readonly clock: Clock;
  readonly settings: AnnunciatorSettings;
  /** by how much the clock was set since the note, ms, where that is known */
  readonly setByMs?: number;
};

/** Notes that the daemon lives. */
export function noteRunning({ keep, clock }: Pick<DowntimeContext, 'keep' | 'clock'>): void {
  keep.write(LAST_RUNNING, String(clock.nowMs()));
}

/**
 * Says, at a start, from when to when nobody watched.
 * @returns the id of the alarm, or null when there is nothing to say
 */
export function sayIfDown(context: DowntimeContext): string | null {
  const { world, store, keep, clock, settings } = context;
  const nowMs = clock.nowMs();
  const notedMs = Number(keep.read(LAST_RUNNING) ?? Number.NaN);
  // a clock that was set in between makes no hole in the watch
  const fromMs = notedMs + (context.setByMs ?? 0);
  noteRunning(context);
  if (world.places.size === 0 || !(nowMs - fromMs >= WORTH_SAYING_MS)) return null;
  const before = world.alarm({ placeId: null, rule: 'watch-was-down' });
  const steps = momentary(before, { fromMs, toMs: nowMs });
  store.carryOn(() => {
    for (const step of steps) keepStep(step, { world, store, settings, nowMs });
  });
  return before.id;
}
