import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import { type LocalDay, localDays } from '../calendar/days.ts';

/**
 * A part of a window that lies in one hour (UTC) and one local day; `whole` when neither of its ends is one of the
 * window alone, so that another window that holds it is cut into the same.
 */
export type Piece = Window & { readonly day: number; readonly whole: boolean };

export type Cut = { readonly days: readonly LocalDay[]; readonly pieces: readonly Piece[] };

/**
 * Cuts a window at every hour and every local midnight. Exposures are always the sum over these pieces, so that
 * an hour that was settled before and one that is counted now give the same, bit for bit.
 */
export function cut({ fromMs, toMs, zone }: Window & { readonly zone: string }): Cut {
  const days = localDays({ fromMs, toMs, zone });
  const pieces = days.flatMap((day, index) => {
    const window = { fromMs: Math.max(day.fromMs, fromMs), toMs: Math.min(day.toMs, toMs) };
    return window.fromMs < window.toMs ? hoursOf(window, { ...day, index }) : [];
  });
  return { days, pieces };
}

function hoursOf({ fromMs, toMs }: Window, day: LocalDay & { readonly index: number }): Piece[] {
  const pieces: Piece[] = [];
  for (let startMs = fromMs; startMs < toMs; ) {
    const hour = Math.floor(startMs / MS_PER_HOUR);
    const endMs = Math.min((hour + 1) * MS_PER_HOUR, toMs);
    const opens = startMs === hour * MS_PER_HOUR || startMs === day.fromMs;
    const closes = endMs === (hour + 1) * MS_PER_HOUR || endMs === day.toMs;
    pieces.push({ fromMs: startMs, toMs: endMs, day: day.index, whole: opens && closes });
    startMs = endMs;
  }
  return pieces;
}
