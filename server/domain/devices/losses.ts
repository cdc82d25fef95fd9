/** With fewer readings there is no usual time between two. */
const LEAST_READINGS = 10;
/** A time between two readings above so many usual ones is a gap. Common practice, no source. */
const GAP_FROM = 1.5;

type Losses = {
  readonly missing: number;
  readonly expected: number;
  /** usual time between two readings, ms */
  readonly everyMs: number;
  readonly longestGapMs: number;
};

/**
 * Readings that are missing from a probe's record: packs carry no number that would show it, so gaps are compared with the
 * usual time between two readings, their median. What comes late fills its gap; silence after the last is no gap yet.
 * @param timesMs of the readings, ms since epoch, ascending
 * @returns how many are missing of how many, or null with too few to tell
 */
export function lossesIn(timesMs: Float64Array): Losses | null {
  if (timesMs.length < LEAST_READINGS) return null;
  const gapsMs = timesMs.slice(1).map((tMs, i) => tMs - (timesMs[i] ?? tMs));
  const everyMs = gapsMs.toSorted()[Math.floor(gapsMs.length / 2)] ?? 0;
  if (everyMs <= 0) return null;
  let [missing, longestGapMs] = [0, 0];
  for (const gapMs of gapsMs) {
    longestGapMs = Math.max(longestGapMs, gapMs);
    if (gapMs > GAP_FROM * everyMs) missing += Math.round(gapMs / everyMs) - 1;
  }
  return { missing, expected: timesMs.length + missing, everyMs, longestGapMs };
}
