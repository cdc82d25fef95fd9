import type { Place } from '../../../shared/model/place.ts';
import type { Log, Timers } from '../../ports.ts';
import { guarded } from '../guard/guard.ts';
import { isOfRecord } from '../guard/inbox.ts';
import type { Troubles } from '../guard/troubles.ts';
import { hoursToSettle, settleHours } from '../world/settled-exposures.ts';
import { createRetention, type RetentionContext } from './retention.ts';

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
  readonly context: () => RetentionContext;
  /** false while the clock may be wrong */
  readonly maySeal?: () => boolean;
  /** takes some readings that were set aside back into the record; true while there are more */
  readonly takeBack?: () => boolean;
  readonly timers: Timers;
  readonly log: Log;
  readonly troubles: Pick<Troubles, 'note'>;
}): () => void {
  const { timers, log, troubles, maySeal = () => true, takeBack = () => false } = deps;
  const reached = new Map<string, number>();
  const drop = createRetention();
  let stop: () => void = () => undefined;
  const turn = () => {
    let more = false;
    try {
      const context = deps.context();
      // while the record cannot be written there is nothing to be done here, and nothing to be said of it again
      if (context.store.lasting() && maySeal())
        more = takeBack() || sealAndSettle({ ...context, troubles }, reached) || drop(context);
    } catch (cause) {
      log.error('hours could not be sealed; they stay in the journal', { error: String(cause) });
      // what is not sealed is held in memory, which ends some day
      if (!isOfRecord(cause))
        troubles.note({ rule: 'monitoring-fault', what: 'sealing of past hours', cause });
    }
    stop = timers.after(more ? BUSY_MS : IDLE_MS, turn);
  };
  stop = timers.after(BUSY_MS, turn);
  return () => stop();
}

/**
 * @param reached up to which hour each place was checked: hours in which nothing was read leave no trace
 * @returns true while there is more to do
 */
function sealAndSettle(context: SealContext, reached: Map<string, number>): boolean {
  const { store, world, nowMs, troubles } = context;
  if (store.journal.seal({ nowMs, limit: HOURS_A_TURN }).more) return true;
  let left = SETTLED_A_TURN;
  for (const place of world.places.values()) {
    const settle = () => settled(place, { left, reached }, context);
    left -= guarded(`exposures of ${place.name}`, settle, { troubles, otherwise: 0 });
    if (left === 0) return true;
  }
  return false;
}

type SealContext = RetentionContext & { readonly troubles: Pick<Troubles, 'note'> };

/** Settles up to so many hours of a place. @returns how many */
function settled(
  place: Place,
  { left, reached }: { readonly left: number; readonly reached: Map<string, number> },
  context: SealContext,
): number {
  const { first, end } = hoursToSettle(place, context);
  // beyond the end: reached by a clock that was ahead
  const from = Math.max(first, Math.min(reached.get(place.id) ?? first, end));
  const to = Math.min(end, from + left);
  settleHours(place, { first: from, end: to }, context);
  reached.set(place.id, Math.max(from, to));
  return Math.max(0, to - from);
}
