import { medianOf } from '../../../shared/exposure/sample.ts';
import { MS_PER_HOUR, type ProbeRecord } from '../../../shared/exposure/series.ts';
import type { MistDoubt, Pulse } from './pulse.ts';

/** Readings from one pulse to the next that it takes to see nearly all of them; measured on the demo. */
const READINGS_A_PULSE = 5;
/** Where no interval is stated, a record read too seldom shows every second pulse and looks sound: ask for more. */
const READINGS_A_PULSE_UNSTATED = 7;
/** A chip that counts in steps as coarse as this, %RH, makes teeth of its own. */
const COARSE_STEP_PCT = 0.75;
/** Fewer intervals than this are no pattern. */
const LEAST_INTERVALS = 5;
/** The pattern of an unstated interval is judged by its short ones: a missed pulse only makes longer ones. */
const SHORT_SHARE = 0.2;
/** Intervals within this part of their median count as regular; at least half must be, where none is stated. */
const REGULAR_WITHIN = 0.25;
/** Longer spells without mist, such as nights, are not intervals. */
const LONGEST_INTERVAL_MS = 4 * MS_PER_HOUR;

/**
 * Why pulses recognised from the air or the leaf are not to be counted on.
 * @param seen.pulses as recognised, by their start
 * @param seen.humidity the humidity readings they rest on, %RH; none where they rest on the leaf
 * @param seen.intervalMs stated time from one pulse to the next, ms; null: the pattern is that of the pulses
 * @param seen.cadenceMs usual time between readings, ms; null for no readings
 * @returns the first reason that holds, null for none
 * @example mistDoubt({ pulses: [], humidity: [], intervalMs: 600_000, cadenceMs: 300_000 }) // 'readings too far apart for the pattern'
 */
export function mistDoubt(seen: {
  readonly pulses: readonly Pulse[];
  readonly humidity: readonly ProbeRecord[];
  readonly intervalMs: number | null;
  readonly cadenceMs: number | null;
}): MistDoubt | null {
  if (seen.cadenceMs === null) return 'nothing recorded';
  if (isCoarse(seen.humidity)) return 'humidity counted in too coarse steps';
  if (seen.intervalMs !== null) return tooSeldom(READINGS_A_PULSE * seen.cadenceMs, seen.intervalMs);
  const found = foundIntervalsMs(seen.pulses);
  const [shortMs, medianMs] = [found[Math.floor(SHORT_SHARE * found.length)], medianOf(found)];
  if (shortMs === undefined || medianMs === null) return 'pattern not known';
  const regular = found.filter((ms) => Math.abs(ms - medianMs) <= REGULAR_WITHIN * medianMs);
  if (2 * regular.length < found.length) return 'pulses not regular';
  return tooSeldom(READINGS_A_PULSE_UNSTATED * seen.cadenceMs, shortMs);
}

function tooSeldom(neededMs: number, intervalMs: number): MistDoubt | null {
  return neededMs > intervalMs ? 'readings too far apart for the pattern' : null;
}

/** Ascending; none where there are too few to tell. */
function foundIntervalsMs(pulses: readonly Pulse[]): number[] {
  const intervalsMs = pulses
    .slice(1)
    .map(({ fromMs }, i) => fromMs - (pulses[i] as Pulse).fromMs)
    .filter((intervalMs) => intervalMs <= LONGEST_INTERVAL_MS);
  return intervalsMs.length < LEAST_INTERVALS ? [] : intervalsMs.sort((a, b) => a - b);
}

function isCoarse(humidity: readonly ProbeRecord[]): boolean {
  const steps = humidity.map(smallestStep).filter((step) => step !== null);
  return steps.length > 0 && Math.min(...steps) > COARSE_STEP_PCT;
}

function smallestStep({ values }: ProbeRecord): number | null {
  let smallest = Number.POSITIVE_INFINITY;
  for (let i = 1; i < values.length; i++) {
    const step = Math.abs((values[i] as number) - (values[i - 1] as number));
    if (step > 0 && step < smallest) smallest = step;
  }
  return Number.isFinite(smallest) ? smallest : null;
}
