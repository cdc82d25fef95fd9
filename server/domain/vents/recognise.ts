import { type AirSamples, cadenceMs } from '../mist/air-samples.ts';

const MINUTE_MS = 60_000;
/** The fall that counts happens within this time, or between two readings where they are further apart. */
const FALL_WITHIN_MS = 5 * MINUTE_MS;
/** Part of the vapour pressure before that is lost at least, 0…1. */
const LEAST_FALL = 0.15;
/** Relative humidity falls too, %RH: vapour that condenses in cooling air leaves it as damp as before. */
const LEAST_FALL_PCT = 5;
/** Shorter dips are puffs: a hand in the dome, a gust. */
const LEAST_OPEN_MS = 10 * MINUTE_MS;
/** The cover is shut again when this part of the fall, or of what the air could hold by now, has come back; lulls bring back half. */
const SHUT_SHARE = 0.65;
/** The vent began at the last reading that had lost less than this part of the fall. */
const STARTED = 0.1;
/** Coming back to air that can hold little more is no sign: part of the pressure before that must be regained. */
const LEAST_RISE = 0.05;

/** A fall of humidity that stayed: from its start to the last reading that was low, null where that is the last of all. */
type Fall = { readonly fromMs: number; readonly toMs: number | null };

type Before = { readonly vapourKpa: number; readonly humidityPct: number };

/**
 * When a cover was opened: vapour pressure loses 15 % or more within 5 minutes and relative humidity 5 %RH or more,
 * and it stays low for 10 minutes.
 *
 * Vapour pressure, not humidity, is the signal: sun on a dome lowers its humidity at the same vapour pressure or more.
 * Cooling lowers vapour pressure at the same humidity: both must fall. A bench dries more slowly between mist pulses,
 * and so does a house that is aired by degrees. The fall is to a drier level, whatever lies there: no probe of the
 * outside humidity exists to compare with. The cover counts as shut when 65 % of the fall has come back, or
 * of what the air could take up at its present temperature and former humidity. A silence in the record neither opens nor
 * shuts a cover; a vent of less than 10 minutes, and one that opened during a silence, is not seen.
 * @param samples vapour pressure and saturation pressure, kPa
 * @param options.leastOpenMs how long the air must have stayed low, ms
 * @returns falls in order of time, ms since epoch
 * @example recogniseFalls(airSamples({ temperature, humidity }, { maxGapMs: 900_000 }))
 */
export function recogniseFalls(samples: AirSamples, { leastOpenMs = LEAST_OPEN_MS } = {}): Fall[] {
  const withinMs = Math.max(FALL_WITHIN_MS, cadenceMs(samples) ?? 0);
  const falls: Fall[] = [];
  const recent = recentMean(samples, withinMs);
  for (let i = 0; i < samples.count; i++) {
    const before = recent(i);
    if (before === null || !hasFallen(samples, i, before)) continue;
    const fall = lowFrom(samples, { index: i, before, withinMs, leastOpenMs });
    if (fall === null) continue;
    const isOpen = fall.last === samples.count - 1;
    falls.push({
      fromMs: samples.timesMs[fall.first] as number,
      toMs: isOpen ? null : (samples.timesMs[fall.last] as number),
    });
    i = fall.last;
  }
  return falls;
}

/**
 * Relative humidity of a sample.
 * @param samples pressures, kPa
 * @param index which
 * @returns 0…100 %RH
 * @example humidityPctAt(samples, 0)
 */
export function humidityPctAt({ vapourKpa, saturatedKpa }: AirSamples, index: number): number {
  return (100 * (vapourKpa[index] as number)) / (saturatedKpa[index] as number);
}

/** Means over the samples that lie one to two spans before, of the same covered stretch; asked in ascending order. */
function recentMean(samples: AirSamples, spanMs: number): (index: number) => Before | null {
  const { timesMs, vapourKpa, stretchStart } = samples;
  let [from, to, vapour, humidity] = [0, 0, 0, 0];
  return (index) => {
    const atMs = timesMs[index] as number;
    for (; (timesMs[to] as number) <= atMs - spanMs; to++) {
      vapour += vapourKpa[to] as number;
      humidity += humidityPctAt(samples, to);
    }
    const first = stretchStart[index] as number;
    for (; from < to && (from < first || (timesMs[from] as number) < atMs - 2 * spanMs); from++) {
      vapour -= vapourKpa[from] as number;
      humidity -= humidityPctAt(samples, from);
    }
    const count = to - from;
    return count > 0 ? { vapourKpa: vapour / count, humidityPct: humidity / count } : null;
  };
}

function hasFallen(samples: AirSamples, index: number, before: Before): boolean {
  const isDrier = (samples.vapourKpa[index] as number) <= (1 - LEAST_FALL) * before.vapourKpa;
  return isDrier && humidityPctAt(samples, index) <= before.humidityPct - LEAST_FALL_PCT;
}

function lowFrom(
  samples: AirSamples,
  seen: {
    readonly index: number;
    readonly before: Before;
    readonly withinMs: number;
    readonly leastOpenMs: number;
  },
): { readonly first: number; readonly last: number } | null {
  const { timesMs, vapourKpa, stretchStart, count } = samples;
  const first = startOf(samples, seen);
  const isEnough = (index: number) =>
    (timesMs[index] as number) - (timesMs[first] as number) >= seen.leastOpenMs;
  let lowestKpa = vapourKpa[seen.index] as number;
  let last = seen.index;
  for (let i = seen.index + 1; i < count; i++) {
    const gap = (stretchStart[i] as number) > first;
    if (gap && !isEnough(last)) return null;
    if (hasComeBack(samples, { index: i, lowestKpa, before: seen.before })) break;
    lowestKpa = Math.min(lowestKpa, vapourKpa[i] as number);
    last = i;
  }
  return isEnough(last) ? { first, last } : null;
}

function startOf(
  { timesMs, vapourKpa, stretchStart }: AirSamples,
  { index, before, withinMs }: { readonly index: number; readonly before: Before; readonly withinMs: number },
): number {
  const fall = before.vapourKpa - (vapourKpa[index] as number);
  let first = index;
  while (first > (stretchStart[index] as number)) {
    if ((vapourKpa[first] as number) >= before.vapourKpa - STARTED * fall) break;
    if ((timesMs[index] as number) - (timesMs[first - 1] as number) > 2 * withinMs) break;
    first--;
  }
  return first;
}

function hasComeBack(
  { vapourKpa, saturatedKpa }: AirSamples,
  at: { readonly index: number; readonly lowestKpa: number; readonly before: Before },
): boolean {
  const rise = (vapourKpa[at.index] as number) - at.lowestKpa;
  const couldHoldKpa = ((saturatedKpa[at.index] as number) * at.before.humidityPct) / 100;
  const wholeKpa = Math.min(at.before.vapourKpa, couldHoldKpa) - at.lowestKpa;
  return rise >= SHUT_SHARE * wholeKpa && rise >= LEAST_RISE * at.before.vapourKpa;
}
