/** What is remembered of one probe's newest readings: for its state, its cadence and its slope. */
export type LatestReadings = {
  /** newest reading, ms since epoch and canonical unit */
  readonly tMs: number;
  readonly value: number;
  /** since when it has reported without falling silent, ms since epoch */
  readonly runFromMs: number;
  /** readings of the last minutes, ascending, at most MAX_RECENT */
  readonly recent: readonly { readonly tMs: number; readonly value: number }[];
  readonly deliveredAtMs: number | null;
  /** last times between deliveries, ms, at most MAX_INTERVALS */
  readonly intervalsMs: readonly number[];
  readonly cadenceMs: number | null;
};

export const MAX_RECENT = 32;
export const MAX_INTERVALS = 8;
const SLOPE_OVER_MS = 5 * 60_000;
/** Messages this close together are one delivery: a node that empties its store sends many. Common practice, no source. */
const ONE_DELIVERY_MS = 10_000;
/** A cadence counts as one a day at most, ms, whatever is promised or seen: silence must be noticed some time. PROPOSAL. */
export const MAX_CADENCE_MS = 24 * 3_600_000;

/** The shortest silence that counts: contract of the alarm "no data". */
export const MIN_SILENCE_MS = 5 * 60_000;

/** How long a probe may be silent: three times its cadence, and never under 5 min. */
export function silenceLimitMs({ cadenceMs }: { readonly cadenceMs: number | null }): number {
  return Math.max(3 * (cadenceMs ?? 0), MIN_SILENCE_MS);
}

/** A probe of which only the newest reading is known, as after a start. */
export function latestFrom(newest: { tMs: number; value: number; cadenceMs: number | null }): LatestReadings {
  const { tMs, value, cadenceMs } = newest;
  return {
    ...{ tMs, value, runFromMs: tMs, recent: [{ tMs, value }] },
    ...{ deliveredAtMs: null, intervalsMs: [], cadenceMs },
  };
}

/** Takes a reading newer than all before. */
export function withReading(
  latest: LatestReadings | null,
  reading: { tMs: number; value: number },
): LatestReadings {
  const { tMs, value } = reading;
  const before = latest ?? latestFrom({ tMs, value, cadenceMs: null });
  const kept = before.recent.filter((old) => old.tMs >= tMs - SLOPE_OVER_MS && old.tMs < tMs);
  const runFromMs = tMs - before.tMs > silenceLimitMs(before) ? tMs : before.runFromMs;
  return { ...before, tMs, value, runFromMs, recent: [...kept.slice(1 - MAX_RECENT), { tMs, value }] };
}

/**
 * Takes note that fresh readings of the probe arrived. The cadence is the median time between
 * deliveries, so that a device that sends ten minutes' readings at once is not called silent between.
 */
export function withDelivery(latest: LatestReadings, arrivedAtMs: number): LatestReadings {
  const sinceMs = latest.deliveredAtMs === null ? null : arrivedAtMs - latest.deliveredAtMs;
  if (sinceMs === null || sinceMs < 0) return { ...latest, deliveredAtMs: arrivedAtMs };
  if (sinceMs < ONE_DELIVERY_MS) return latest;
  const intervalsMs = [...latest.intervalsMs, sinceMs].slice(-MAX_INTERVALS);
  const cadenceMs = boundedMs(upperMedian(intervalsMs) ?? 0);
  return { ...latest, deliveredAtMs: arrivedAtMs, intervalsMs, cadenceMs };
}

/**
 * Takes note of what a device promises of its cadence (SenML `ut`); what was seen of it counts for more.
 * @param updateTimeS most seconds until its next reading, 0 or more, or null when it says nothing; kept as whole ms
 */
export function withPromise(latest: LatestReadings, updateTimeS: number | null): LatestReadings {
  if (updateTimeS === null || latest.intervalsMs.length > 0) return latest;
  return { ...latest, cadenceMs: boundedMs(updateTimeS * 1000) };
}

/** Whole ms, as they are kept. */
function boundedMs(ms: number): number {
  return Math.min(MAX_CADENCE_MS, Math.round(ms));
}

/** How fast the value moves, per minute, over the last 5 min; `null` with less than half a minute to judge by. */
export function slopePerMin({ recent, tMs, value }: LatestReadings): number | null {
  const first = recent[0];
  if (!first || tMs - first.tMs < 30_000) return null;
  return ((value - first.value) / (tMs - first.tMs)) * 60_000;
}

function upperMedian(numbers: readonly number[]): number | null {
  return [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)] ?? null;
}
