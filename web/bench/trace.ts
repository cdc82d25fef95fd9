import type { BandSpan, SeriesPoint, Trace } from '../../shared/wire/http.ts';

export type TracePoint = {
  readonly tMs: number;
  readonly value: number | null;
  readonly min: number | null;
  readonly max: number | null;
  /** there where a finding about a probe covers the point */
  readonly suspect?: true;
};
export type PlotPoint = {
  readonly tMs: number;
  readonly value: number;
  readonly min: number;
  readonly max: number;
};
export type Layer = 'air' | 'vpd' | 'rootZone';
export type LimitSpan = {
  readonly fromMs: number;
  readonly toMs: number;
  readonly night: boolean;
  readonly low: number;
  readonly high: number;
  /** where limits that move in a straight line come by the end of the span; absent where they stand still */
  readonly end?: Limits;
  readonly ceiling: number | null;
};
type Limits = { readonly low: number; readonly high: number };
export type Side = 'below' | 'within' | 'above';
export type Deviation = { readonly side: Side; readonly sinceMs: number; readonly wholeTrace: boolean };

const LIVE_BUCKET_MS = 30_000;

/** The points of a served series with their times in ms. */
export function traceOf(points: readonly SeriesPoint[]): TracePoint[] {
  return points.map(({ t, ...point }) => ({ tMs: Date.parse(t), ...point }));
}

/** A trace as cards are sent it: whole steps of the last decimal, each value less the one before. */
export function traceIn(
  { decimals, values, below, above, suspect = [] }: Trace,
  { fromMs, times }: { readonly fromMs: number; readonly times: readonly number[] },
): TracePoint[] {
  const unit = 10 ** decimals;
  let last = 0;
  const points = values.map((step, i): TracePoint => {
    const tMs = fromMs + (times[i] ?? 0);
    if (step === null) return { tMs, value: null, min: null, max: null };
    last += step;
    const [low, high] = [last - (below[i] ?? 0), last + (above[i] ?? 0)];
    return { tMs, value: last / unit, min: low / unit, max: high / unit };
  });
  return suspect.length === 0
    ? points
    : points.map((point, i) => (suspect.includes(i) ? { ...point, suspect: true } : point));
}

/**
 * A trace grown by a live value: half a minute of live values shares a point, so a trace stays bounded.
 * @param live.maxGapMs a longer silence before the value is kept as a gap
 * @param live.keepFromMs points before this are dropped
 */
export function withLive(
  trace: readonly TracePoint[],
  live: { atMs: number; value: number; maxGapMs: number; keepFromMs: number },
): TracePoint[] {
  const last = trace.at(-1);
  const { atMs: tMs, value } = live;
  const kept = trace.filter((point) => point.tMs >= live.keepFromMs);
  if (last && tMs <= last.tMs) return kept;
  const point = { tMs, value, min: value, max: value };
  if (!last || last.value === null) return [...kept, point];
  if (tMs - last.tMs > live.maxGapMs) {
    return [...kept, { tMs: last.tMs + 1, value: null, min: null, max: null }, point];
  }
  if (Math.floor(tMs / LIVE_BUCKET_MS) !== Math.floor(last.tMs / LIVE_BUCKET_MS)) return [...kept, point];
  const min = Math.min(last.min ?? last.value, value);
  const max = Math.max(last.max ?? last.value, value);
  return [...kept.slice(0, -1), { tMs, value, min, max }];
}

/** The limits of one layer over time, in the unit of the layer. */
export function limitsOf(bands: readonly BandSpan[], layer: Layer): LimitSpan[] {
  return bands.map((band) => ({
    fromMs: Date.parse(band.from),
    toMs: Date.parse(band.to),
    night: band.night,
    low: layer === 'vpd' ? band.vpd.lowKpa : band[layer].lowC,
    high: layer === 'vpd' ? band.vpd.highKpa : band[layer].highC,
    ...(layer === 'vpd' || !band.end
      ? {}
      : { end: { low: band.end[layer].lowC, high: band.end[layer].highC } }),
    ceiling: layer === 'air' ? band.ceilingC : null,
  }));
}

/** Where the limits of a span lie at a moment in it. */
export function limitsWithin(
  { fromMs, toMs, low, high, end }: Pick<LimitSpan, 'fromMs' | 'toMs' | 'low' | 'high' | 'end'>,
  tMs: number,
): Limits {
  if (!end) return { low, high };
  const share = (tMs - fromMs) / (toMs - fromMs);
  return { low: low + (end.low - low) * share, high: high + (end.high - high) * share };
}

/** The span that holds a moment, with the limits of that moment; a span holds its start and not its end. */
export function limitsAt(spans: readonly LimitSpan[], tMs: number): LimitSpan | null {
  const found = spans.find((span) => span.fromMs <= tMs && tMs < span.toMs);
  return found?.end ? { ...found, ...limitsWithin(found, tMs) } : (found ?? null);
}

/** The stretches without a gap: a null or a silence longer than `maxGapMs` ends one. */
export function runsOf(trace: readonly TracePoint[], maxGapMs: number): PlotPoint[][] {
  const runs: PlotPoint[][] = [];
  let run: PlotPoint[] = [];
  for (const { tMs, value, min, max } of trace) {
    const last = run.at(-1);
    if (value === null || (last && tMs - last.tMs > maxGapMs)) {
      if (run.length > 0) runs.push(run);
      run = [];
    }
    if (value !== null) run.push({ tMs, value, min: min ?? value, max: max ?? value });
  }
  if (run.length > 0) runs.push(run);
  return runs;
}

/** The stretches of a window without readings. */
export function gapsOf(
  runs: readonly (readonly PlotPoint[])[],
  view: { fromMs: number; toMs: number; endSlackMs: number },
): { fromMs: number; toMs: number }[] {
  const gaps: { fromMs: number; toMs: number }[] = [];
  let edgeMs = view.fromMs;
  for (const run of runs) {
    const startMs = run[0]?.tMs ?? edgeMs;
    const slackMs = edgeMs === view.fromMs ? view.endSlackMs : 0;
    if (startMs - edgeMs > slackMs) gaps.push({ fromMs: edgeMs, toMs: startMs });
    edgeMs = Math.max(edgeMs, run.at(-1)?.tMs ?? edgeMs);
  }
  if (view.toMs - edgeMs > view.endSlackMs) gaps.push({ fromMs: edgeMs, toMs: view.toMs });
  return gaps;
}

/** Where a value lies; on a limit is within. */
function sideOf(value: number, limits: { low: number; high: number }): Side {
  if (value < limits.low) return 'below';
  return value > limits.high ? 'above' : 'within';
}

function crossingMs(
  before: PlotPoint,
  after: PlotPoint,
  limits: { readonly start: number; readonly end: number },
): number {
  const [gapBefore, gapAfter] = [limits.start - before.value, limits.end - after.value];
  return before.tMs + (gapBefore / (gapBefore - gapAfter)) * (after.tMs - before.tMs);
}

function turnedMs(before: PlotPoint, after: PlotPoint, spans: readonly LimitSpan[], side: Side): number {
  const limits = limitsAt(spans, after.tMs);
  if (!limits) return after.tMs;
  const atBefore = limitsAt(spans, before.tMs);
  // limits of another span count as they stood when this one began
  const first = atBefore?.fromMs === limits.fromMs ? atBefore : limitsAt(spans, limits.fromMs);
  const from = sideOf(before.value, first ?? limits);
  if (from === side) return Math.max(before.tMs, limits.fromMs);
  const edge = (side === 'within' ? from : side) === 'below' ? 'low' : 'high';
  return crossingMs(before, after, { start: (first ?? limits)[edge], end: limits[edge] });
}

/**
 * How long the newest value of a trace has been on its present side of its band, without a gap.
 * @returns the side and since when, or `null` when there is no value or no band; `wholeTrace` says that the
 * trace begins on that side, so that it may have been there longer
 */
export function deviationOf(
  trace: readonly TracePoint[],
  spans: readonly LimitSpan[],
  maxGapMs: number,
): Deviation | null {
  const run = runsOf(trace, maxGapMs).at(-1);
  const last = run?.at(-1);
  const limits = last && limitsAt(spans, last.tMs);
  if (!run || !last || !limits) return null;
  const side = sideOf(last.value, limits);
  if (!isOn(last, limits, side)) return { side, sinceMs: last.tMs, wholeTrace: false };
  for (let i = run.length - 2; i >= 0; i--) {
    const before = run[i] as PlotPoint;
    const after = run[i + 1] as PlotPoint;
    const then = limitsAt(spans, before.tMs);
    if (!then || !isOn(before, then, side)) {
      return { side, sinceMs: turnedMs(before, after, spans, side), wholeTrace: false };
    }
  }
  const first = run[0] as PlotPoint;
  const wholeTrace = first.tMs === trace.find((point) => point.value !== null)?.tMs;
  return { side, sinceMs: first.tMs, wholeTrace };
}

/** A point stands for a stretch: it is within only where its highest and its lowest value are. */
function isOn({ value, min, max }: PlotPoint, limits: Limits, side: Side): boolean {
  return side === 'within' ? min >= limits.low && max <= limits.high : sideOf(value, limits) === side;
}

/** The point of a trace nearest to a moment, if it lies within `reachMs`. */
export function nearestPoint(trace: readonly TracePoint[], tMs: number, reachMs: number): TracePoint | null {
  let best: TracePoint | null = null;
  for (const point of trace) {
    if (!best || Math.abs(point.tMs - tMs) < Math.abs(best.tMs - tMs)) best = point;
  }
  return best && Math.abs(best.tMs - tMs) <= reachMs ? best : null;
}

/** The stretches of a trace that a finding covers. */
export function suspectSpans(trace: readonly TracePoint[]): { fromMs: number; toMs: number }[] {
  const spans: { fromMs: number; toMs: number }[] = [];
  let open = false;
  for (const { tMs, suspect } of trace) {
    const last = spans.at(-1);
    if (suspect && open && last) last.toMs = tMs;
    else if (suspect) spans.push({ fromMs: tMs, toMs: tMs });
    open = suspect ?? false;
  }
  return spans;
}
