/** Waits before each further attempt; the last repeats. */
export const RETRY_DELAYS_MS = [5_000, 15_000, 45_000, 120_000, 300_000, 600_000] as const;

/** After this long a message is given up: nobody is helped by yesterday's alarm. */
export const GIVE_UP_AFTER_MS = 24 * 3_600_000;

/** A receiver that asks for time is given so much at most, ms: an alarm is no use tomorrow. Proposal of the project. */
export const LONGEST_DELAY_MS = 3_600_000;

/**
 * When to try a message again that has failed `attempts` times (at least once): never sooner than the waits say, later
 * where the receiver asked for it, `notBeforeMs`, ms since epoch.
 * @returns ms since epoch, or `null` when it is to be given up
 */
export function nextAttemptMs(message: {
  attempts: number;
  createdMs: number;
  nowMs: number;
  notBeforeMs?: number | null;
}): number | null {
  if (message.nowMs - message.createdMs > GIVE_UP_AFTER_MS) return null;
  const delayMs = RETRY_DELAYS_MS[Math.min(message.attempts, RETRY_DELAYS_MS.length) - 1] ?? 0;
  const asked = Math.min(message.notBeforeMs ?? 0, message.nowMs + LONGEST_DELAY_MS);
  return Math.max(message.nowMs + delayMs, asked);
}
