import { allOf, lengthsOf, whereAbove, whereBelow } from '../../../shared/exposure/intersect.ts';
import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import type { ThresholdSpan } from '../../../shared/exposure/threshold.ts';
import type { Vent } from './vent.ts';

/** How long the air has been saturated since a place was last vented. */
export type SinceVent = {
  /** null: no vent is known in the window */
  readonly lastVent: Vent | null;
  readonly hoursSinceVent: number | null;
  /** since the vent, or since the window's start where there was none */
  readonly hoursSaturated: number;
  readonly coveredHours: number;
};

/**
 * Hours of saturated air since the last vent was shut (since it was opened, where no end is known).
 * @param vents in order of their start
 * @param options.saturation when humidity was at or above saturation and when below, of `thresholdSpans`
 * @param options.window how far back is asked, and up to when, ms since epoch
 * @returns hours; the count is a floor where the covered hours fall short of the hours since
 * @example saturatedSinceVent(vents, { saturation: thresholdSpans(humidity, 97, window), window }).hoursSaturated
 */
export function saturatedSinceVent(
  vents: readonly Vent[],
  options: { readonly saturation: readonly ThresholdSpan[]; readonly window: Window },
): SinceVent {
  const { saturation, window } = options;
  const lastVent = vents.findLast(({ fromMs }) => fromMs >= window.fromMs && fromMs < window.toMs) ?? null;
  const shutMs = lastVent === null ? window.fromMs : (lastVent.toMs ?? lastVent.fromMs);
  const since = [{ fromMs: Math.min(shutMs, window.toMs), toMs: window.toMs }];
  const hours = (spans: readonly Window[]) => lengthsOf(allOf([spans, since])).totalMs / MS_PER_HOUR;
  const [saturated, below] = [hours(whereAbove(saturation)), hours(whereBelow(saturation))];
  return {
    lastVent,
    hoursSinceVent: lastVent === null ? null : Math.max(0, window.toMs - shutMs) / MS_PER_HOUR,
    hoursSaturated: saturated,
    coveredHours: saturated + below,
  };
}
