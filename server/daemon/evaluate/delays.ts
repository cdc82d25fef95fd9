import type { Clock, Timers } from '../../ports.ts';

/** Moments at which on-delays are checked lie this far apart at least, ms. */
export const LEAST_APART_MS = 200;
/** What runs out later than this is found again by the watch, ms. */
const AHEAD_MS = 2_000;

/**
 * Looks at on-delays at the moment the first of them runs out, so that nobody waits for the next turn of the watch.
 *
 * @param deps the clock, and what to do then; it says when to look next, ms since epoch
 */
export function createDelays(deps: { clock: Clock; timers: Timers; check: () => number | null }) {
  const { clock, timers } = deps;
  let nextMs = Number.POSITIVE_INFINITY;
  let cancel = () => {};
  const due = (dueAtMs: number | null) => {
    const nowMs = clock.nowMs();
    if (dueAtMs === null || dueAtMs > nowMs + AHEAD_MS) return;
    const waitMs = Math.max(1, Math.ceil((dueAtMs - nowMs) / LEAST_APART_MS)) * LEAST_APART_MS;
    if (nowMs + waitMs >= nextMs) return;
    cancel();
    nextMs = nowMs + waitMs;
    cancel = timers.after(waitMs, () => {
      nextMs = Number.POSITIVE_INFINITY;
      due(deps.check());
    });
  };
  return { due, stop: () => cancel() };
}
