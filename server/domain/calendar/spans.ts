import type { Window } from '../../../shared/exposure/series.ts';
import type { Targets, TargetsFrom } from '../../../shared/model/targets.ts';
import type { Sky } from './nights.ts';
import { type MovingHalf, movingDayNight } from './ramp.ts';

/** A stretch in which one set of targets holds, it is day, or night, throughout, and bands stand or move straight. */
export type TargetSpan = MovingHalf & { readonly targets: Targets };

/**
 * The bands of a span, resolved to instants: cut where day turns to night, where bands that move
 * have arrived, and where targets change.
 * Contiguous, ascending, covering exactly [fromMs, toMs).
 * @param query.history ascending by `fromMs`; the first holds before its own start too
 * @param query.sky what is known of the sky, for targets whose day is not the clock's
 */
export function targetSpans(
  query: Window & {
    readonly history: readonly TargetsFrom[];
    readonly zone: string;
    readonly sky?: Sky | null;
  },
): TargetSpan[] {
  const { history, fromMs, toMs, zone, sky = null } = query;
  return history.flatMap(({ targets, fromMs: since }, i) => {
    const start = i === 0 ? fromMs : Math.max(since, fromMs);
    const end = Math.min(history[i + 1]?.fromMs ?? toMs, toMs);
    if (start >= end) return [];
    const dayNight = movingDayNight({ targets, fromMs: start, toMs: end, zone, sky });
    return dayNight.map((half) => ({ ...half, targets }));
  });
}
