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
/** With so many readings in the last minutes the slope is theirs alone, so that a turn is seen within two. Proposal. */
const RECENT_SLOPE_OVER_MS = 3 * 60_000;
const ENOUGH_FOR_SLOPE = 4;
/** Less says nothing of how fast a value moves, ms. */
const LEAST_SLOPE_MS = 30_000;
/** Messages this close together are one delivery: a node that empties its store sends many. Common practice, no source. */
const ONE_DELIVERY_MS = 10_000;
/** A cadence counts as one a day at most, ms, whatever is promised or seen: silence must be noticed some time. PROPOSAL. */
const MAX_CADENCE_MS = 24 * 3_600_000;

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
    tMs,
    value,
    runFromMs: tMs,
    recent: [{ tMs, value }],
    deliveredAtMs: null,
    intervalsMs: [],
    cadenceMs,
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

/**
 * How fast the value moves now, per minute: the straight line of least squares through the readings of the last 3 min,
 * where there are 4 or more, else from the first to the last of 5 min; `null` with less than half a minute to judge by.
 */
export function slopePerMin({ recent, tMs, value }: LatestReadings): number | null {
  const lately = recent.filter((reading) => reading.tMs >= tMs - RECENT_SLOPE_OVER_MS);
  const [since] = lately;
  if (since && lately.length >= ENOUGH_FOR_SLOPE && tMs - since.tMs >= LEAST_SLOPE_MS)
    return fittedPerMin(lately);
  const first = recent[0];
  if (!first || tMs - first.tMs < LEAST_SLOPE_MS) return null;
  return ((value - first.value) / (tMs - first.tMs)) * 60_000;
}

/** Slope of the line of least squares, per minute; the readings do not all have one time. */
function fittedPerMin(readings: LatestReadings['recent']): number {
  const mean = (of: readonly number[]) => of.reduce((sum, one) => sum + one, 0) / of.length;
  const meanMs = mean(readings.map(({ tMs }) => tMs));
  const meanValue = mean(readings.map(({ value }) => value));
  let [across, along] = [0, 0];
  for (const { tMs, value } of readings) {
    across += (tMs - meanMs) * (value - meanValue);
    along += (tMs - meanMs) ** 2;
  }
  return (across / along) * 60_000;
}

function upperMedian(numbers: readonly number[]): number | null {
  return [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)] ?? null;
}
