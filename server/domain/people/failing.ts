/**
 * A contact method counts as failing after so many attempts of one message, or so long after the first that failed began. That is
 * longer than any attempt lasts, and leaves time to look and to send before 2 min are over.
 */
const FAILING_ATTEMPTS = 3;
export const FAILING_AFTER_MS = 90_000;
/** While no contact method has got anything through for so long, nobody outside is sent a sign of life. Proposal. */
const NOBODY_REACHED_AFTER_MS = 10 * 60_000;

/**
 * Whether a contact method has failed for so long that people must be notified. Proposal of the project.
 * @param way since when it has failed (the start of that attempt), ms since epoch, the most attempts of one message, and whether trying is no use
 * @param nowMs ms since epoch
 */
export function failingLong(
  { sinceMs, attempts, forGood }: { sinceMs: number; attempts: number; forGood: boolean },
  nowMs: number,
): boolean {
  return forGood || attempts >= FAILING_ATTEMPTS || nowMs - sinceMs >= FAILING_AFTER_MS;
}

/**
 * Whether nobody can be reached any more: every contact method fails, each for long or for good. Where there is none,
 * nobody was to be reached.
 * @param wayIds all contact methods by which somebody would be called
 */
export function nobodyReached(
  wayIds: readonly number[],
  failing: readonly { wayId: number; sinceMs: number; forGood: boolean }[],
  nowMs: number,
): boolean {
  const isDead = (wayId: number) =>
    failing.some(
      (method) =>
        method.wayId === wayId && (method.forGood || nowMs - method.sinceMs >= NOBODY_REACHED_AFTER_MS),
    );
  return wayIds.length > 0 && wayIds.every(isDead);
}
