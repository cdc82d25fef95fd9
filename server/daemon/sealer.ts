import type { Log, Timers } from '../ports.ts';
import { createDropper, type DropContext } from './dropper.ts';
import { hoursToSettle, settleHours } from './settle.ts';

/** Hours sealed in one turn: a few milliseconds, so that messages never wait long. */
export const HOURS_A_TURN = 40;
/** Between turns while there is more to seal, and while there is not, ms. */
const BUSY_MS = 20;
const IDLE_MS = 10_000;

/** Hours settled in one turn, of all places together. */
const SETTLED_A_TURN = 6;

/**
 * Seals hours that are over, settles their exposures and lets old readings go, a few at a time, for as long as the
 * daemon runs.
 */
export function startSealer(deps: {
  readonly context: () => DropContext;
  readonly timers: Timers;
  readonly log: Log;
}): () => void {
  const { timers, log } = deps;
  const reached = new Map<string, number>();
  const drop = createDropper();
  let stop: () => void = () => undefined;
  const turn = () => {
    let more = false;
    try {
      const context = deps.context();
      // while the record cannot be written there is nothing to be done here, and nothing to be said of it again
      if (context.store.lasting()) more = sealAndSettle(context, reached) || drop(context);
    } catch (cause) {
      log.error('hours could not be sealed; they stay in the journal', { error: String(cause) });
    }
    stop = timers.after(more ? BUSY_MS : IDLE_MS, turn);
  };
  stop = timers.after(BUSY_MS, turn);
  return () => stop();
}

/**
 * @param reached up to which hour each place was looked at: hours in which nothing was read leave no trace
 * @returns true while there is more to do
 */
function sealAndSettle(context: DropContext, reached: Map<string, number>): boolean {
  const { store, world, nowMs } = context;
  if (store.journal.seal({ nowMs, limit: HOURS_A_TURN }).more) return true;
  let left = SETTLED_A_TURN;
  for (const place of world.places.values()) {
    const { first, end } = hoursToSettle(place, context);
    const from = Math.max(first, reached.get(place.id) ?? first);
    const to = Math.min(end, from + left);
    settleHours(place, { first: from, end: to }, context);
    reached.set(place.id, Math.max(from, to));
    left -= Math.max(0, to - from);
    if (left === 0) return true;
  }
  return false;
}
