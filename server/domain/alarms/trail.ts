/** A probe's readings of the last hour, one each 2 min: what its fall is judged by. Times in ms since epoch. */
export type Trail = readonly { readonly tMs: number; readonly value: number }[];

export const TRAIL_OVER_MS = 66 * 60_000;
const EVERY_MS = 2 * 60_000;
/** A fall is judged over this long at least, and at most. Proposals of the project. */
const LEAST_MS = 40 * 60_000;
const MOST_MS = 62 * 60_000;

/** Takes the next reading: the first of each 2 min of the clock is kept, so that a restart changes nothing. */
export function withStep(trail: Trail, reading: { tMs: number; value: number }): Trail {
  const last = trail.at(-1);
  if (last && Math.floor(last.tMs / EVERY_MS) >= Math.floor(reading.tMs / EVERY_MS)) return trail;
  const kept = trail.filter(({ tMs }) => tMs > reading.tMs - TRAIL_OVER_MS);
  return [...kept, { tMs: reading.tMs, value: reading.value }];
}

/**
 * How fast a value falls, over the last hour.
 * @param newest ms since epoch and the probe's unit
 * @returns unit per hour, negative when it rises; null with less than 40 min to judge by
 * @example fallPerHour([{ tMs: 0, value: 23 }], { tMs: 3_600_000, value: 21 }) // 2
 */
export function fallPerHour(trail: Trail, newest: { tMs: number; value: number }): number | null {
  const first = trail.find(({ tMs }) => newest.tMs - tMs <= MOST_MS);
  if (!first || newest.tMs - first.tMs < LEAST_MS) return null;
  return ((first.value - newest.value) / (newest.tMs - first.tMs)) * 3_600_000;
}
