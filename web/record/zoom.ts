import type { View } from '../common/plot.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
/** From a minute to a season and a bit. */
export const LEAST_VIEW_MS = MINUTE_MS;
export const MOST_VIEW_MS = 400 * DAY_MS;

/** One turn of a wheel, one key or one press of a button. */
export const STEP_FACTOR = 1.6;
/** The share of the view that a key or a button moves it by. */
const STEP_SHARE = 0.25;

function within(view: View, nowMs: number): View {
  const lengthMs = Math.min(MOST_VIEW_MS, Math.max(LEAST_VIEW_MS, view.toMs - view.fromMs));
  const toMs = Math.min(nowMs, view.fromMs + lengthMs);
  return { fromMs: toMs - lengthMs, toMs };
}

/**
 * A view made wider or closer around a moment that keeps its place on the axis.
 * @param by.factor above 1: wider; below 1: closer
 * @param by.atMs the moment that stays where it is, ms since epoch
 * @param by.nowMs no view reaches beyond the present
 * @returns a view of 1 min to 400 days
 */
export function zoomed(
  { fromMs, toMs }: View,
  by: { readonly factor: number; readonly atMs: number; readonly nowMs: number },
): View {
  const before = toMs - fromMs;
  const lengthMs = Math.min(MOST_VIEW_MS, Math.max(LEAST_VIEW_MS, before * by.factor));
  const share = (Math.min(toMs, Math.max(fromMs, by.atMs)) - fromMs) / before;
  const start = fromMs + share * (before - lengthMs);
  return within({ fromMs: start, toMs: start + lengthMs }, by.nowMs);
}

/** A view moved along, above 0 later. @param by.share of its length */
export function panned({ fromMs, toMs }: View, by: { readonly share: number; readonly nowMs: number }): View {
  const movedMs = by.share * (toMs - fromMs);
  return within({ fromMs: fromMs + movedMs, toMs: toMs + movedMs }, by.nowMs);
}

/** Two fingers, as shares of the width of the chart. */
export type Fingers = readonly [number, number];

/** A view under two fingers that moved: what was under each stays under it. */
export function pinched(view: View, from: Fingers, to: Fingers, nowMs: number): View {
  const lengthMs = view.toMs - view.fromMs;
  const at = (share: number) => view.fromMs + share * lengthMs;
  const apart = Math.abs(to[1] - to[0]);
  // fingers on one spot say nothing of a length
  if (apart < 0.01 || Math.abs(from[1] - from[0]) < 0.01) return view;
  const wantedMs = (lengthMs * Math.abs(from[1] - from[0])) / apart;
  const newMs = Math.min(MOST_VIEW_MS, Math.max(LEAST_VIEW_MS, wantedMs));
  const middleMs = at((from[0] + from[1]) / 2);
  const start = middleMs - ((to[0] + to[1]) / 2) * newMs;
  return within({ fromMs: start, toMs: start + newMs }, nowMs);
}

type Keyed = { readonly key: string; readonly nowMs: number };

/** What a key does to a view: arrows move it, plus and minus change its length, End leads to the present; else null. */
export function keyed(view: View, { key, nowMs }: Keyed): View | null {
  const atMs = (view.fromMs + view.toMs) / 2;
  switch (key) {
    case 'ArrowLeft':
      return panned(view, { share: -STEP_SHARE, nowMs });
    case 'ArrowRight':
      return panned(view, { share: STEP_SHARE, nowMs });
    case '+':
    case '=':
      return zoomed(view, { factor: 1 / STEP_FACTOR, atMs, nowMs });
    case '-':
      return zoomed(view, { factor: STEP_FACTOR, atMs, nowMs });
    case 'End':
      return within({ fromMs: nowMs - (view.toMs - view.fromMs), toMs: nowMs }, nowMs);
    default:
      return null;
  }
}

/** The part of a view of which data is there; null where none is. */
export function overlap(a: View, b: View): View | null {
  const [fromMs, toMs] = [Math.max(a.fromMs, b.fromMs), Math.min(a.toMs, b.toMs)];
  return fromMs < toMs ? { fromMs, toMs } : null;
}
