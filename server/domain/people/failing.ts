/** A way counts as failing after so many attempts of one message, or so long after the first that failed. */
export const FAILING_ATTEMPTS = 3;
export const FAILING_AFTER_MS = 2 * 60_000;

/**
 * Whether a way has failed for so long that people must be told. Proposal of the project.
 * @param way since when it has failed, ms since epoch, the most attempts of one message, and whether trying is no use
 * @param nowMs ms since epoch
 */
export function failingLong(
  { sinceMs, attempts, forGood }: { sinceMs: number; attempts: number; forGood: boolean },
  nowMs: number,
): boolean {
  return forGood || attempts >= FAILING_ATTEMPTS || nowMs - sinceMs >= FAILING_AFTER_MS;
}
