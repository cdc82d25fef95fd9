import { type LimitSpan, limitsWithin, type PlotPoint } from '../bench/trace.ts';

export type View = { readonly fromMs: number; readonly toMs: number };
export type Domain = { readonly low: number; readonly high: number };
export type Gap = { readonly fromMs: number; readonly toMs: number };

const CEILING_REACH = 0.6;
/** Share of what is drawn that stays free above and below: a trace does not touch the edge. */
const MARGIN = 0.12;

/**
 * The values a drawing must hold: all readings, the limits in view, and the ceiling unless it lies far off.
 * @param leastRange the drawing never shows less than this, so that noise does not look like weather
 */
export function domainOf(
  runs: readonly (readonly PlotPoint[])[],
  spans: readonly LimitSpan[],
  leastRange: number,
): Domain {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  const include = (value: number) => {
    low = Math.min(low, value);
    high = Math.max(high, value);
  };
  for (const span of spans) {
    include(span.low);
    include(span.high);
    if (span.end) [span.end.low, span.end.high].forEach(include);
  }
  for (const run of runs) {
    for (const point of run) {
      include(point.min);
      include(point.max);
    }
  }
  if (low > high) return { low: 0, high: leastRange };
  for (const { ceiling } of spans) {
    if (ceiling !== null && ceiling <= high + CEILING_REACH * (high - low)) include(ceiling);
  }
  const lacking = Math.max(0, leastRange - (high - low));
  const margin = Math.max(lacking / 2, (high - low) * MARGIN);
  return { low: low - margin, high: high + margin };
}

/** The spans that lie in view, cut to it. */
export function spansInView(spans: readonly LimitSpan[], view: View): LimitSpan[] {
  return spans
    .filter((span) => span.toMs > view.fromMs && span.fromMs < view.toMs)
    .map((span) => {
      const fromMs = Math.max(span.fromMs, view.fromMs);
      const toMs = Math.min(span.toMs, view.toMs);
      const end = span.end ? { end: limitsWithin(span, toMs) } : {};
      return { ...span, ...limitsWithin(span, fromMs), ...end, fromMs, toMs };
    });
}

/** The stretches in which neither of two records has readings. */
export function commonGaps(a: readonly Gap[], b: readonly Gap[]): Gap[] {
  return a
    .flatMap((gap) =>
      b.map((other) => ({
        fromMs: Math.max(gap.fromMs, other.fromMs),
        toMs: Math.min(gap.toMs, other.toMs),
      })),
    )
    .filter((gap) => gap.toMs > gap.fromMs);
}

/** Lowest and highest value read, or `null` when nothing was. */
export function extremesOf(runs: readonly (readonly PlotPoint[])[]): Domain | null {
  const point = runs.flat();
  if (point.length === 0) return null;
  return {
    low: point.reduce((least, { min }) => Math.min(least, min), Number.POSITIVE_INFINITY),
    high: point.reduce((most, { max }) => Math.max(most, max), Number.NEGATIVE_INFINITY),
  };
}

/** Moves labels apart so that each keeps `apart` px from the next; order is kept. */
export function spreadLabels(ys: readonly number[], apart: number): number[] {
  const order = ys.map((y, i) => ({ y, i })).sort((a, b) => a.y - b.y);
  const placed = [...ys];
  let before = Number.NEGATIVE_INFINITY;
  for (const { y, i } of order) {
    before = Math.max(y, before + apart);
    placed[i] = before;
  }
  return placed;
}
