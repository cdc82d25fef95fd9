import { type DayNightQuestion, dayAndNight, type Half } from './nights.ts';

/** How bands move from a switch on: in a straight line from the share of day they had then, for so long. */
export type BandMove = { readonly sinceMs: number; readonly overMs: number; readonly fromShare: number };

/** A stretch of day, or of night, in which bands stand still, or move in one straight line throughout. */
export type MovingHalf = Half & { readonly move: BandMove | null };

/** A band at a switch rests on the switches of so long before it: by clock and sun one half in it is long enough. */
const LOOKBACK_MS = 12 * 3_600_000;
/** Longest time a band may take, ms; the schema of targets says the same. */
const MOST_RAMP_MS = 240 * 60_000;

/** How long after a switch of day and night a band may still depend on it, ms. */
export const RAMP_REACH_MS = LOOKBACK_MS + MOST_RAMP_MS;

/**
 * Cuts a span into days and nights, and where bands take time, into moving and standing. A half that ends before the
 * bands have arrived sends them back from where they are. No piece depends on the span in which it is asked.
 * @param question.targets.rampMin minutes from a switch until bands have arrived, 0…240; absent: 0
 * @returns contiguous, ascending, covering exactly the span
 * @example movingDayNight({ targets, fromMs, toMs, zone, sky: null })
 */
export function movingDayNight(question: DayNightQuestion): MovingHalf[] {
  const { fromMs, toMs, targets } = question;
  const overMs = Math.round((targets.rampMin ?? 0) * 60_000);
  if (overMs === 0) return dayAndNight(question).map((half) => ({ ...half, move: null }));
  const dayNight = dayAndNight({ ...question, fromMs: fromMs - overMs - LOOKBACK_MS });
  return dayNight.flatMap((half, i) => {
    if (half.toMs <= fromMs) return [];
    const { night } = half;
    const arrivedMs = i === 0 ? fromMs : half.fromMs + overMs;
    const movedMs = Math.min(arrivedMs, half.toMs);
    const move = { sinceMs: half.fromMs, overMs, fromShare: shareAtStart(dayNight, i, overMs) };
    return [
      { fromMs: Math.max(half.fromMs, fromMs), toMs: Math.min(movedMs, toMs), night, move },
      { fromMs: Math.max(movedMs, fromMs), toMs: Math.min(half.toMs, toMs), night, move: null },
    ].filter((piece) => piece.fromMs < piece.toMs);
  });
}

/**
 * How far bands have moved to those of day.
 * @returns 0 in the night, 1 by day, between them while they move
 */
export function dayShareAt({ night, move }: Pick<MovingHalf, 'night' | 'move'>, tMs: number): number {
  const goal = night ? 0 : 1;
  if (move === null) return goal;
  const passed = (tMs - move.sinceMs) / move.overMs;
  return passed >= 1 ? goal : move.fromShare + (goal - move.fromShare) * passed;
}

/** The share of day with which a half begins: that of the half before, taken as far as it came. */
function shareAtStart(dayNight: readonly Half[], which: number, overMs: number): number {
  const half = dayNight[which] as Half;
  const sinceMs = half.fromMs - LOOKBACK_MS;
  let first = which;
  while (first > 0 && (dayNight[first] as Half).fromMs > sinceMs) first -= 1;
  let share = dayNight[first]?.night ? 0 : 1;
  for (let i = first + 1; i < which; i += 1) {
    const { night, fromMs, toMs } = dayNight[i] as Half;
    share = dayShareAt({ night, move: { sinceMs: fromMs, overMs, fromShare: share } }, toMs);
  }
  return share;
}
