export const SILENCE_LIMIT_MS = 25_000;
const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 10_000;

/**
 * How long to wait before the next attempt to connect.
 * @param attempt failed attempts so far, from 0
 * @param chance 0…1, spreads pages so that they do not all come at once
 * @returns ms, from half of the full wait to the full wait; the full wait doubles from 0.5 s to 10 s
 */
export function waitMs(attempt: number, chance: number): number {
  const full = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** Math.min(attempt, 10));
  return full / 2 + (full / 2) * chance;
}

/** Whether a message follows the one before it; the first of a connection follows whatever its number. */
export function follows(lastSeq: number | null, seq: number): boolean {
  return lastSeq === null || seq === lastSeq + 1;
}
