import { allOf, anyOf, lengthsOf, whereAbove, whereBelow } from '../../../shared/exposure/intersect.ts';
import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import type { ThresholdSpan } from '../../../shared/exposure/threshold.ts';
import { type DryGap, dryGaps, missedTimesMs, type PatternOptions } from './pattern.ts';
import type { MistRecord, Pulse } from './pulse.ts';

/** Pulses in light, or in the dark: hours in which one would have been seen, and how often it came. */
type MistRate = {
  readonly coveredHours: number;
  readonly pulses: number;
  readonly pulsesPerHour: number | null;
};

export type MistSummary = {
  readonly coveredHours: number;
  /** all that began in the window, light known or not */
  readonly pulses: number;
  readonly inLight: MistRate;
  readonly inDark: MistRate;
  /** the pattern that holds at the end of the window, ms; null where there is none */
  readonly patternMs: number | null;
  readonly pattern: 'stated' | 'wanted' | 'from the record' | null;
  /** pulses that did not come in light; null where there was no light to judge or no pattern yet */
  readonly missed: number | null;
  /** longest spell in light without mist, cut to the window */
  readonly longestDryGap: Window | null;
  /** the newest spell in light without mist, cut to the window: the one that lasts, if it ends where the record does */
  readonly newestDryGap: Window | null;
};

/** A cloud, or a lamp that flickers at dusk, does not end a stretch of light: shorter dark is bridged. */
const BRIDGED_DARK_MS = 30 * 60_000;

/**
 * What the mist did in a window.
 *
 * Counted is covered time only: a gap in the record is not a missed pulse, and ends the spell before it. Dark of less
 * than half an hour between light counts as light. A missed pulse counts at the moment it was due, so counts of
 * windows side by side add up. A timer that is set to another interval on purpose, by half or more, reads as missed
 * pulses until the median has followed, half a day later: state the interval then.
 * @param mist as recognised; it and the light should reach back before the window as far as the pattern is read
 * @param options.light when it is light and when dark: of a light probe, or of days and nights
 * @param options.window ms since epoch
 * @param options.intervalMs stated time from one pulse to the next, ms; null: as the record has it
 * @param options.wantedMs what the targets want at a time where nothing is stated, ms
 * @param options.lookbackMs over which the pattern is read, ms; 24 h unless given
 * @returns counts, hours, pulses an hour
 * @example mistSummary(mist, { light: thresholdSpans(ppfd, 20, window), window, intervalMs: null }).missed
 */
export function mistSummary(
  mist: MistRecord,
  options: PatternOptions & { readonly light: readonly ThresholdSpan[]; readonly window: Window },
): MistSummary {
  const { window } = options;
  const { lit, dark } = bridged(options.light);
  const began = mist.pulses.filter(({ fromMs }) => fromMs >= window.fromMs && fromMs < window.toMs);
  const gaps = dryGapsOf(mist, options);
  const within = gaps.filter(({ fromMs, toMs }) => fromMs < window.toMs && toMs > window.fromMs);
  const missed = within
    .flatMap(missedTimesMs)
    .filter((atMs) => atMs >= window.fromMs && atMs < window.toMs).length;
  const newest = within.at(-1);
  const patternMs = newest?.patternMs ?? options.intervalMs;
  return {
    coveredHours: hoursOf([mist.covered, [window]]),
    pulses: began.length,
    inLight: rateOf(began, [mist.covered, lit, [window]]),
    inDark: rateOf(began, [mist.covered, dark, [window]]),
    patternMs,
    pattern: patternMs === null ? null : patternPhrase(options, newest?.fromMs ?? window.toMs),
    missed: within.some((gap) => gap.patternMs !== null) ? missed : null,
    longestDryGap: longest(within.map((gap) => cut(gap, window))),
    newestDryGap: within.length === 0 ? null : cut(within.at(-1) as Window, window),
  };
}

/**
 * The spells in light without mist of a whole record, in order of time.
 * @param mist as recognised
 * @param options as for `mistSummary`
 */
export function dryGapsOf(
  mist: MistRecord,
  options: PatternOptions & { readonly light: readonly ThresholdSpan[] },
): DryGap[] {
  return dryGaps(openWhileCovered(mist), allOf([mist.covered, bridged(options.light).lit]), options);
}

/** A valve of which no end is known counts as open for as long as it was watched. */
function openWhileCovered({ pulses, covered }: MistRecord): Pulse[] {
  return pulses.map((pulse) => {
    if (pulse.how !== 'valve' || pulse.toMs !== null) return pulse;
    const watched = covered.find(({ fromMs, toMs }) => fromMs <= pulse.fromMs && pulse.fromMs < toMs);
    return { ...pulse, toMs: watched?.toMs ?? null };
  });
}

function bridged(light: readonly ThresholdSpan[]): { lit: Window[]; dark: Window[] } {
  const isDip = (span: ThresholdSpan, i: number): boolean => {
    const [before, after] = [light[i - 1], light[i + 1]];
    if (span.above || span.toMs - span.fromMs >= BRIDGED_DARK_MS || !before || !after) return false;
    return before.above && after.above && before.toMs === span.fromMs && after.fromMs === span.toMs;
  };
  const spans = light.map((span, i) => (isDip(span, i) ? { ...span, above: true } : span));
  return { lit: anyOf([whereAbove(spans)]), dark: whereBelow(spans) };
}

function rateOf(pulses: readonly Pulse[], lists: readonly (readonly Window[])[]): MistRate {
  const windows = allOf(lists);
  const coveredHours = lengthsOf(windows).totalMs / MS_PER_HOUR;
  const count = countWithin(pulses, windows);
  return { coveredHours, pulses: count, pulsesPerHour: coveredHours > 0 ? count / coveredHours : null };
}

function countWithin(pulses: readonly Pulse[], windows: readonly Window[]): number {
  let [count, i] = [0, 0];
  for (const { fromMs } of pulses) {
    while (i < windows.length && (windows[i] as Window).toMs <= fromMs) i++;
    const window = windows[i];
    if (window && fromMs >= window.fromMs) count++;
  }
  return count;
}

function hoursOf(lists: readonly (readonly Window[])[]): number {
  return lengthsOf(allOf(lists)).totalMs / MS_PER_HOUR;
}

function patternPhrase({ intervalMs, wantedMs }: PatternOptions, atMs: number): MistSummary['pattern'] {
  if (intervalMs !== null) return 'stated';
  return (wantedMs?.(atMs) ?? null) === null ? 'from the record' : 'wanted';
}

function cut({ fromMs, toMs }: Window, window: Window): Window {
  return { fromMs: Math.max(fromMs, window.fromMs), toMs: Math.min(toMs, window.toMs) };
}

function longest(windows: readonly Window[]): Window | null {
  return windows.reduce<Window | null>(
    (best, one) => (best === null || one.toMs - one.fromMs > best.toMs - best.fromMs ? one : best),
    null,
  );
}
