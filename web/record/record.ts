import type { PlaceSummary } from '../../shared/wire/http.ts';
import type { LeftOutReading } from '../../shared/wire/probes/finding.ts';
import { call, spanQuery } from '../api.ts';
import { type LimitSpan, limitsOf, type TracePoint, traceOf } from '../bench/trace.ts';
import { DAY_MS, LAYER_SERIES } from '../bench/traces.ts';
import type { RecordPicture } from '../charts/record.ts';
import { degreeSign, readingTemperature } from '../common/format.ts';
import type { View } from '../common/plot.ts';
import { axisTicks, calendarDay, tickHours, weekday } from '../common/time.ts';
import type { Mark } from '../diary/marks.ts';
import { nowMs, timeZone, unit } from '../state.ts';
import { overlap } from './zoom.ts';

export type Span = '24 h' | '7 d' | 'all';
export type RecordData = {
  readonly view: View;
  readonly air: readonly TracePoint[];
  readonly vpd: readonly TracePoint[];
  readonly rootZone: readonly TracePoint[];
  readonly limits: Readonly<Record<'air' | 'vpd' | 'rootZone', readonly LimitSpan[]>>;
  readonly maxGapMs: number;
  /** readings of the view that are no measurement, ascending */
  readonly leftOut: readonly LeftOutReading[];
};

async function viewOf(placeId: string, span: Span): Promise<View> {
  const toMs = nowMs.peek();
  if (span !== 'all') return { fromMs: toMs - (span === '24 h' ? 1 : 7) * DAY_MS, toMs };
  const { recordStart } = await call('getPlace', { params: { id: placeId } });
  const fromMs = recordStart === null ? toMs : Date.parse(recordStart);
  return { fromMs: Math.min(fromMs, toMs - 600_000), toMs };
}

/** Fetches what the record of a place shows over a span or a view, thinned to as many points as fit. */
export async function loadRecord(
  place: PlaceSummary,
  wanted: Span | View,
  points: number,
): Promise<RecordData> {
  const view = typeof wanted === 'string' ? await viewOf(place.id, wanted) : wanted;
  const params = { id: place.id };
  const inView = spanQuery(view);
  const series = (layer: 'air' | 'vpd' | 'rootZone') =>
    call('getSeries', { params, query: { quantity: LAYER_SERIES[layer], points, ...inView } });
  const [air, vpd, rootZone, { bands }] = await Promise.all([
    series('air'),
    series('vpd'),
    series('rootZone'),
    call('getBands', { params, query: inView }),
  ]);
  const bucketMs = (view.toMs - view.fromMs) / points;
  return {
    view,
    air: traceOf(air.points),
    vpd: traceOf(vpd.points),
    rootZone: traceOf(rootZone.points),
    limits: {
      air: limitsOf(bands, 'air'),
      vpd: limitsOf(bands, 'vpd'),
      rootZone: limitsOf(bands, 'rootZone'),
    },
    maxGapMs: Math.max(place.settings.maxGapMs, 1.5 * bucketMs),
    leftOut: [...(air.leftOut ?? []), ...(rootZone.leftOut ?? [])],
  };
}

function readingTrace(trace: readonly TracePoint[]): TracePoint[] {
  const convert = (value: number | null) => (value === null ? null : readingTemperature(value, unit.value));
  return trace.map(({ value, min, max, ...point }) => ({
    ...point,
    value: convert(value),
    min: convert(min),
    max: convert(max),
  }));
}

function readingLimits(limits: readonly LimitSpan[]): LimitSpan[] {
  const convert = (value: number) => readingTemperature(value, unit.value);
  return limits.map((span) => ({
    ...span,
    low: convert(span.low),
    high: convert(span.high),
    ...(span.end ? { end: { low: convert(span.end.low), high: convert(span.end.high) } } : {}),
    ceiling: span.ceiling === null ? null : convert(span.ceiling),
  }));
}

type Looking = {
  readonly view: View;
  readonly selection: View | null;
  readonly widthPx: number;
  readonly marks: readonly Mark[];
  /** when mist pulses began, ms since epoch */
  readonly pulsesMs: readonly number[];
};

/** The record as the chart draws it in a view, in the unit for reading. */
export function pictureOf(data: RecordData, looking: Looking): RecordPicture {
  const { view, selection, widthPx, marks, pulsesMs } = looking;
  const everyHours = tickHours({ spanMs: view.toMs - view.fromMs, widthPx: widthPx - 56 });
  const zone = timeZone.value;
  const ticks = axisTicks(view, { timeZone: zone, everyHours, widthPx: widthPx - 56 }).map((tick) => {
    if (!tick.midnight) return tick;
    const at = { atMs: tick.atMs, timeZone: zone };
    return {
      ...tick,
      label: everyHours <= 24 ? `${weekday(at)} ${calendarDay(at).split(' ')[0]}` : calendarDay(at),
    };
  });
  return {
    view,
    loaded: overlap(view, data.view),
    ticks,
    maxGapMs: data.maxGapMs,
    air: { trace: readingTrace(data.air), limits: readingLimits(data.limits.air) },
    rootZone: { trace: readingTrace(data.rootZone), limits: readingLimits(data.limits.rootZone) },
    vpd: { trace: data.vpd, limits: data.limits.vpd },
    degreeSign: degreeSign(unit.value),
    leastRange: unit.value === 'C' ? 4 : 7,
    selection,
    marks,
    pulsesMs,
  };
}
