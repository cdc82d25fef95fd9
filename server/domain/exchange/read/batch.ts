/** Most and fewest readings one transaction of an import takes. */
export const MAX_BATCH = 1_000;
export const MIN_BATCH = 50;
/**
 * A transaction should take between these, ms. A message is read, committed and acknowledged in three turns of the
 * daemon; with a transaction before each it is still answered within 50 ms.
 */
const SHORT_MS = 4;
const LONG_MS = 10;

/**
 * How many readings the next transaction takes, by how long the last one took.
 * @param last size in readings, duration in ms
 * @returns half as many after a long one, twice as many after a short one
 */
export function nextBatch({ size, tookMs }: { size: number; tookMs: number }): number {
  if (tookMs > LONG_MS) return Math.max(MIN_BATCH, Math.floor(size / 2));
  return tookMs < SHORT_MS ? Math.min(MAX_BATCH, size * 2) : size;
}
