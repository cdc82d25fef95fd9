import type { Window } from '../../../shared/exposure/series.ts';
import type { AirSamples } from './air-samples.ts';

/** How dry something is, over time: falls at once when mist comes, and climbs again as it dries. */
export type Dryness = Pick<AirSamples, 'count' | 'timesMs' | 'stretchStart'> & {
  readonly values: Float64Array;
  /** whether what happened between the two samples before `index` and the two from it on may have been mist */
  readonly mayBeMist: (index: number) => boolean;
};

/** What a tooth must be, in the unit of the dryness. */
export type Tooth = {
  readonly leastFall: number;
  /** part of the dryness before that the fall takes away at least, 0…1 */
  readonly leastShare: number;
  /** where the dryness does not reach this, mist may leave no mark */
  readonly floor: number;
};

/** Samples looked at before and after a fall. */
const BEFORE = 4;
const AFTER = 3;
/** No second tooth within so many samples of a larger one. */
const APART = 3;
/** The samples around a fall may change by this part of it on their own: more is a slope, not a step. */
const SLOPE = 0.5;
/** Longest time over which one tooth's height vouches for the time around it. */
const VOUCHES_MS = 15 * 60_000;

/**
 * Starts of the teeth of a saw: where dryness falls in a step and had not been falling before and does not go on
 * falling after, which distinguishes mist from a slope. The mark of each is the last sample before the fall.
 *
 * Relation: difference of the means of two samples before and two after, a step detector; own choice of limits,
 * set on the demo.
 * @param dryness evenly sampled, 0 or more
 * @param tooth what counts, in the same unit
 * @returns ms since epoch, ascending
 * @example toothTimesMs(dryness, { leastFall: 0.1, leastShare: 0.1, floor: 0.15 })
 */
export function toothTimesMs(dryness: Dryness, tooth: Tooth): number[] {
  const falls = fallsOf(dryness, tooth);
  const timesMs: number[] = [];
  for (let i = BEFORE; i < falls.length; i++) {
    if ((falls[i] as number) > 0 && isLargest(falls, i)) timesMs.push(dryness.timesMs[i - 1] as number);
  }
  return timesMs;
}

/**
 * The covered time in which a pulse would have left a tooth: dryness reaches the floor within 15 minutes.
 * @param dryness evenly sampled, 0 or more
 * @param tooth what counts, in the same unit
 * @returns ascending windows
 * @example vouchedFor(dryness, { leastFall: 0.1, leastShare: 0.1, floor: 0.15 })
 */
export function vouchedFor(dryness: Dryness, tooth: Tooth): Window[] {
  const { count, timesMs, stretchStart, values } = dryness;
  const windows: { fromMs: number; toMs: number }[] = [];
  for (let i = 1; i < count; i++) {
    const start = stretchStart[i] as number;
    if (start === i || meanOfTwo(values, i - 1) < tooth.floor) continue;
    const atMs = timesMs[i] as number;
    const fromMs = Math.max(atMs - VOUCHES_MS, timesMs[start] as number);
    const last = windows.at(-1);
    if (last && fromMs <= last.toMs) last.toMs = atMs + VOUCHES_MS;
    else windows.push({ fromMs, toMs: atMs + VOUCHES_MS });
  }
  return cutToStretches(windows, dryness);
}

function fallsOf({ count, stretchStart, values, mayBeMist }: Dryness, tooth: Tooth): Float64Array {
  const falls = new Float64Array(count);
  for (let i = BEFORE; i + AFTER < count; i++) {
    if ((stretchStart[i + AFTER] as number) > i - BEFORE) continue;
    const [before, after] = [meanOfTwo(values, i - 2), meanOfTwo(values, i)];
    const fall = before - after;
    if (fall < tooth.leastFall || fall < tooth.leastShare * before || !mayBeMist(i)) continue;
    if (meanOfTwo(values, i - 4) - before > SLOPE * fall) continue;
    if (after - meanOfTwo(values, i + 2) > SLOPE * fall) continue;
    falls[i] = fall;
  }
  return falls;
}

function isLargest(falls: Float64Array, index: number): boolean {
  const fall = falls[index] as number;
  for (let step = 1; step <= APART; step++) {
    if ((falls[index - step] ?? 0) >= fall || (falls[index + step] ?? 0) > fall) return false;
  }
  return true;
}

function meanOfTwo(values: Float64Array, index: number): number {
  return ((values[index] as number) + (values[index + 1] as number)) / 2;
}

function cutToStretches(windows: readonly Window[], { count, timesMs, stretchStart }: Dryness): Window[] {
  const out: Window[] = [];
  let next = 0;
  for (let i = 0; i < count; ) {
    let end = i;
    while (end + 1 < count && stretchStart[end + 1] === i) end++;
    const [fromMs, toMs] = [timesMs[i] as number, timesMs[end] as number];
    while (next < windows.length && (windows[next] as Window).fromMs < toMs) {
      const window = windows[next] as Window;
      const cut = { fromMs: Math.max(window.fromMs, fromMs), toMs: Math.min(window.toMs, toMs) };
      if (cut.fromMs < cut.toMs) out.push(cut);
      if (window.toMs > toMs) break;
      next++;
    }
    i = end + 1;
  }
  return out;
}
