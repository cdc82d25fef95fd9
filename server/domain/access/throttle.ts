/** Wrong passwords from one address that cost nothing, and the wait after the next, ms, doubled by each further. */
const FREE_FAILURES = 4;
const FIRST_WAIT_MS = 1_000;
const LONGEST_WAIT_MS = 5 * 60_000;
/** An address that failed is forgotten after so long without another try, ms. */
const FORGET_AFTER_MS = 3_600_000;
/** Most addresses remembered at once; the one that failed longest ago gives way. */
export const MAX_ADDRESSES = 5_000;

/** What is remembered of an address that failed. */
export type Failed = { readonly failures: number; readonly lastMs: number };

/**
 * How long an address has to wait before its next try is considered.
 * @param failed what is remembered of it, or null
 * @param nowMs ms since epoch
 * @returns ms, 0 for none
 */
export function waitOf(failed: Failed | null, nowMs: number): number {
  if (failed === null || nowMs - failed.lastMs >= FORGET_AFTER_MS) return 0;
  const beyond = failed.failures - FREE_FAILURES;
  if (beyond < 0) return 0;
  const waitMs = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** Math.min(beyond, 30));
  // never longer than the wait itself, should the clock have been set back
  return Math.min(waitMs, Math.max(0, failed.lastMs + waitMs - nowMs));
}

/**
 * What is remembered after one more failure.
 * @param failed what was remembered, or null
 * @param nowMs of the failure, ms since epoch
 */
export function afterFailure(failed: Failed | null, nowMs: number): Failed {
  const before = failed !== null && nowMs - failed.lastMs < FORGET_AFTER_MS ? failed.failures : 0;
  return { failures: before + 1, lastMs: nowMs };
}
