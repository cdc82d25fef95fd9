import { medianOf } from '../../../shared/exposure/sample.ts';
import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import type { Pulse } from './pulse.ts';

/** A pattern is read off the pulses of the last day, unless stated otherwise. */
export const DEFAULT_LOOKBACK_MS = 24 * MS_PER_HOUR;
/** Fewer intervals are no pattern. */
const LEAST_PATTERN_INTERVALS = 5;
/** The last so many intervals are enough for a median; it keeps the work in step with the readings. */
const MOST_PATTERN_INTERVALS = 100;

/** A spell without mist inside one lit and covered stretch; with what lies before, it is known how long mist usually stays away. */
export type DryGap = Window & {
  /** usual time from pulse to pulse up to the start of the gap, ms; null where there is no pattern yet */
  readonly patternMs: number | null;
};

export type PatternOptions = {
  /** stated time from one pulse to the next, ms; null: the median of those before */
  readonly intervalMs: number | null;
  /** what the targets want, where nothing is stated: time from one pulse to the next, ms; null: nothing */
  readonly wantedMs?: ((atMs: number) => number | null) | undefined;
  readonly lookbackMs?: number | undefined;
};

/**
 * The spells without mist in light, each from the end of one pulse (or the start of the stretch) to the start of the
 * next (or the end of the stretch), with the pattern that held before it: the stated interval, else the one wanted by
 * the targets at its start, else the median interval between pulses in light within the time looked back, of the last 100 and at least 5.
 * @param pulses by their start
 * @param stretches ascending windows that are lit and covered
 * @param options stated interval, ms; time looked back, ms, 24 h unless given
 * @returns gaps in order of time; the intervals are those between starts of pulses in one stretch
 * @example dryGaps(pulses, [{ fromMs, toMs }], { intervalMs: 600_000 })
 */
export function dryGaps(
  pulses: readonly Pulse[],
  stretches: readonly Window[],
  options: PatternOptions,
): DryGap[] {
  const history = intervalHistory(options);
  const gaps: DryGap[] = [];
  let next = 0;
  for (const stretch of stretches) {
    while (next < pulses.length && endOf(pulses[next] as Pulse) < stretch.fromMs) next++;
    let dryFromMs = stretch.fromMs;
    let lastStartMs: number | null = null;
    for (; next < pulses.length && (pulses[next] as Pulse).fromMs < stretch.toMs; next++) {
      const pulse = pulses[next] as Pulse;
      addGap(gaps, { fromMs: dryFromMs, toMs: pulse.fromMs, patternMs: history.patternMs(dryFromMs) });
      if (lastStartMs !== null) history.add({ fromMs: lastStartMs, toMs: pulse.fromMs });
      lastStartMs = pulse.fromMs;
      dryFromMs = Math.max(dryFromMs, endOf(pulse));
    }
    addGap(gaps, { fromMs: dryFromMs, toMs: stretch.toMs, patternMs: history.patternMs(dryFromMs) });
    // a pulse that outlasts its stretch may reach into the next one
    if (next > 0 && endOf(pulses[next - 1] as Pulse) > stretch.toMs) next--;
  }
  return gaps;
}

/**
 * When pulses failed to come in a gap: one interval after its start and each interval on, while half an interval or
 * more of the gap is left. So 1.5 intervals without mist are one missed pulse, 2.5 are two: floor(gap/interval + 0.5) − 1.
 * @param gap its pattern may be null
 * @returns ms since epoch; none without a pattern
 * @example missedTimesMs({ fromMs: 0, toMs: 1_500_000, patternMs: 600_000 }) // 600000, 1200000
 */
export function missedTimesMs({ fromMs, toMs, patternMs }: DryGap): number[] {
  if (patternMs === null) return [];
  const count = Math.max(0, Math.floor((toMs - fromMs) / patternMs + 0.5) - 1);
  return Array.from({ length: count }, (_, i) => fromMs + (i + 1) * patternMs);
}

function endOf({ fromMs, toMs }: Pulse): number {
  return toMs ?? fromMs;
}

function addGap(gaps: DryGap[], gap: DryGap): void {
  if (gap.fromMs < gap.toMs) gaps.push(gap);
}

function intervalHistory({ intervalMs, wantedMs, lookbackMs = DEFAULT_LOOKBACK_MS }: PatternOptions) {
  const intervals: Window[] = [];
  return {
    add: (interval: Window) => intervals.push(interval),
    patternMs(atMs: number): number | null {
      const given = intervalMs ?? wantedMs?.(atMs) ?? null;
      if (given !== null) return given;
      const recent = intervals
        .slice(-MOST_PATTERN_INTERVALS)
        .filter(({ toMs }) => toMs > atMs - lookbackMs)
        .map(({ fromMs, toMs }) => toMs - fromMs);
      return recent.length < LEAST_PATTERN_INTERVALS ? null : medianOf(recent);
    },
  };
}
