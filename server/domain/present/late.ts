import { MIN_SILENCE_MS } from './latest-readings.ts';

/**
 * Readings of a probe that arrive late one after another, as when a device sends what it kept: how far they lay behind
 * their arrival at first and at last. Times in ms since epoch, lags in ms.
 */
export type Late = {
  readonly sinceMs: number;
  readonly firstLagMs: number;
  readonly lastMs: number;
  readonly lagMs: number;
};

/** What arrives this long after the last late reading begins again, ms; so long, too, it need not have come nearer yet. */
export const LATE_PAUSE_MS = MIN_SILENCE_MS;
/** Catching up counts for so long at most, ms: meanwhile nobody watches the climate as it is. PROPOSAL. */
export const MAX_CATCH_UP_MS = 30 * 60_000;

/**
 * Takes note of the newest reading of a probe in a message.
 * @param arrival.lagMs how far it lies behind its arrival
 * @param arrival.liveMs a lag up to which it is live
 * @returns what is remembered; a live reading leaves it as it was, as others of the device may still be late
 */
export function withLate(
  late: Late | null,
  arrival: { readonly arrivedAtMs: number; readonly lagMs: number; readonly liveMs: number },
): Late | null {
  const { arrivedAtMs, lagMs, liveMs } = arrival;
  if (lagMs <= liveMs) return late;
  const goesOn = late !== null && arrivedAtMs - late.lastMs <= LATE_PAUSE_MS && arrivedAtMs >= late.lastMs;
  if (!goesOn) return { sinceMs: arrivedAtMs, firstLagMs: lagMs, lastMs: arrivedAtMs, lagMs };
  return { ...late, lastMs: arrivedAtMs, lagMs };
}

/**
 * Whether late readings are catching up with the present: they arrive, and since they began to their times went at least
 * twice as fast as the clock. One whose clock is behind, and that stays behind, does not.
 */
export function isCatchingUp(late: Late | null | undefined, nowMs: number): boolean {
  if (!late || nowMs - late.lastMs > LATE_PAUSE_MS || nowMs < late.sinceMs) return false;
  const tookMs = late.lastMs - late.sinceMs;
  if (tookMs > MAX_CATCH_UP_MS) return false;
  return nowMs - late.sinceMs <= LATE_PAUSE_MS || late.firstLagMs - late.lagMs >= tookMs;
}
