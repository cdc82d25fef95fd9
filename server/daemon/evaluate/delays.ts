import type { Clock, Timers } from '../../ports.ts';

/** Moments at which on-delays are looked at lie this far apart at least, ms. */
export const LEAST_APART_MS = 200;
/** What runs out later than this is found again by the watch, ms. */
const AHEAD_MS = 2_000;

/**
 * Looks at on-delays at the moment the first of them runs out, so that nobody waits for the next turn of the watch.
 *
 * @param deps the clock, and what to do then; it says when to look next, ms since epoch
 */
export function createDelays(deps: { clock: Clock; timers: Timers; look: () => number | null }) {
  const { clock, timers } = deps;
  let lookMs = Number.POSITIVE_INFINITY;
  let cancel = () => {};
  const due = (runsOutMs: number | null) => {
    const nowMs = clock.nowMs();
    if (runsOutMs === null || runsOutMs > nowMs + AHEAD_MS) return;
    const waitMs = Math.max(1, Math.ceil((runsOutMs - nowMs) / LEAST_APART_MS)) * LEAST_APART_MS;
    if (nowMs + waitMs >= lookMs) return;
    cancel();
    lookMs = nowMs + waitMs;
    cancel = timers.after(waitMs, () => {
      lookMs = Number.POSITIVE_INFINITY;
      due(deps.look());
    });
  };
  return { due, stop: () => cancel() };
}
