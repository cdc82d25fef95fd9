import type { Journal, Log, Timers } from '../ports.ts';

/** Hours sealed in one turn: a few milliseconds, so that messages never wait long. */
export const HOURS_A_TURN = 40;
/** Between turns while there is more to seal, and while there is not, ms. */
const BUSY_MS = 20;
const IDLE_MS = 10_000;

/** Seals hours that are over, a few at a time, for as long as the daemon runs. */
export function startSealer(deps: {
  readonly journal: Journal;
  readonly nowMs: () => number;
  readonly timers: Timers;
  readonly log: Log;
}): () => void {
  const { journal, timers, log } = deps;
  let stop: () => void = () => undefined;
  const turn = () => {
    let more = false;
    try {
      more = journal.seal({ nowMs: deps.nowMs(), limit: HOURS_A_TURN }).more;
    } catch (cause) {
      log.error('hours could not be sealed; they stay in the journal', { error: String(cause) });
    }
    stop = timers.after(more ? BUSY_MS : IDLE_MS, turn);
  };
  stop = timers.after(BUSY_MS, turn);
  return () => stop();
}
