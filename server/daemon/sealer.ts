import type { Log, Timers } from '../ports.ts';
import { type SettleContext, settleNext } from './settle.ts';

/** Hours sealed in one turn: a few milliseconds, so that messages never wait long. */
export const HOURS_A_TURN = 40;
/** Between turns while there is more to seal, and while there is not, ms. */
const BUSY_MS = 20;
const IDLE_MS = 10_000;

/** Hours settled in one turn, of each place. */
const SETTLED_A_TURN = 6;

/** Seals hours that are over and settles their exposures, a few at a time, for as long as the daemon runs. */
export function startSealer(deps: {
  readonly context: () => SettleContext;
  readonly timers: Timers;
  readonly log: Log;
}): () => void {
  const { timers, log } = deps;
  let stop: () => void = () => undefined;
  const turn = () => {
    let more = false;
    try {
      more = sealAndSettle(deps.context());
    } catch (cause) {
      log.error('hours could not be sealed; they stay in the journal', { error: String(cause) });
    }
    stop = timers.after(more ? BUSY_MS : IDLE_MS, turn);
  };
  stop = timers.after(BUSY_MS, turn);
  return () => stop();
}

/** @returns true while there is more to do */
function sealAndSettle(context: SettleContext): boolean {
  const { store, world, nowMs } = context;
  if (store.journal.seal({ nowMs, limit: HOURS_A_TURN }).more) return true;
  const settled = [...world.places.values()].map((place) => settleNext(place, context, SETTLED_A_TURN));
  return settled.some((hours) => hours === SETTLED_A_TURN);
}
