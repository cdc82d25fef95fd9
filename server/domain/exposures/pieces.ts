import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import { type LocalDay, localDays } from '../calendar/days.ts';

/** A part of a window that lies in one hour (UTC) and one local day; `hour` is set when it is that whole hour. */
export type Piece = Window & { readonly day: number; readonly hour: number | null };

export type Cut = { readonly days: readonly LocalDay[]; readonly pieces: readonly Piece[] };

/**
 * Cuts a window at every hour and every local midnight. Exposures are always the sum over these pieces, so that
 * an hour that was settled before and one that is counted now give the same, bit for bit.
 */
export function cut({ fromMs, toMs, zone }: Window & { readonly zone: string }): Cut {
  const days = localDays({ fromMs, toMs, zone });
  const pieces = days.flatMap((day, index) => {
    const [start, end] = [Math.max(day.fromMs, fromMs), Math.min(day.toMs, toMs)];
    return start < end ? hoursOf({ fromMs: start, toMs: end }, index) : [];
  });
  return { days, pieces };
}

function hoursOf({ fromMs, toMs }: Window, day: number): Piece[] {
  const pieces: Piece[] = [];
  for (let startMs = fromMs; startMs < toMs; ) {
    const hour = Math.floor(startMs / MS_PER_HOUR);
    const endMs = Math.min((hour + 1) * MS_PER_HOUR, toMs);
    const whole = startMs === hour * MS_PER_HOUR && endMs === startMs + MS_PER_HOUR;
    pieces.push({ fromMs: startMs, toMs: endMs, day, hour: whole ? hour : null });
    startMs = endMs;
  }
  return pieces;
}
