import { useEffect, useMemo, useState } from 'preact/hooks';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { api } from '../api.ts';
import { degreeSign, readingTemperature, temperatureText, vpdText } from '../state/format.ts';
import type { View } from '../state/plot.ts';
import { calendarDay, clockTicks, momentWords, tickHours, weekday } from '../state/time.ts';
import { type LimitSpan, limitsOf, nearestPoint, type TracePoint, traceOf } from '../state/trace.ts';
import { nowMs, reader, timeZone, unit } from '../state.ts';
import { DAY_MS, LAYER_SERIES } from '../traces.ts';
import { useLoaded, useWidth } from './hooks.ts';
import { RecordCanvas } from './record-canvas.tsx';
import { RecordTable } from './record-table.tsx';
import { SpanTable } from './span-table.tsx';

export type Span = '24 h' | '7 d' | 'all';
export type RecordData = {
  readonly view: View;
  readonly air: readonly TracePoint[];
  readonly vpd: readonly TracePoint[];
  readonly rootZone: readonly TracePoint[];
  readonly limits: Readonly<Record<'air' | 'vpd' | 'rootZone', readonly LimitSpan[]>>;
  readonly maxGapMs: number;
};

const SPANS: readonly { span: Span; name: string }[] = [
  { span: '24 h', name: '24 hours' },
  { span: '7 d', name: '7 days' },
  { span: 'all', name: 'since the first reading' },
];
const RENEW_MS: Readonly<Record<Span, number>> = { '24 h': 60_000, '7 d': 300_000, all: 600_000 };

async function viewOf(placeId: string, span: Span): Promise<View> {
  const toMs = nowMs.peek();
  if (span !== 'all') return { fromMs: toMs - (span === '24 h' ? 1 : 7) * DAY_MS, toMs };
  const fromMs = Date.parse((await api.wholeRecord(placeId)).from);
  return { fromMs: Math.min(fromMs, toMs - 600_000), toMs };
}

async function loadRecord(place: PlaceSummary, span: Span, points: number): Promise<RecordData> {
  const view = await viewOf(place.id, span);
  const series = (layer: 'air' | 'vpd' | 'rootZone') =>
    api.series(place.id, LAYER_SERIES[layer], { ...view, points });
  const [air, vpd, rootZone, { bands }] = await Promise.all([
    series('air'),
    series('vpd'),
    series('rootZone'),
    api.bands(place.id, view),
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
  };
}

function readingTrace(trace: readonly TracePoint[]): TracePoint[] {
  const convert = (value: number | null) => (value === null ? null : readingTemperature(value, unit.value));
  return trace.map(({ tMs, value, min, max }) => ({
    tMs,
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
    ceiling: span.ceiling === null ? null : convert(span.ceiling),
  }));
}

function pictureOf(data: RecordData, selection: View | null, widthPx: number) {
  const everyHours = tickHours({ spanMs: data.view.toMs - data.view.fromMs, widthPx: widthPx - 56 });
  const zone = timeZone.value;
  const ticks = clockTicks({ ...data.view, timeZone: zone, everyHours }).map((tick) => {
    if (!tick.midnight) return tick;
    const at = { atMs: tick.atMs, timeZone: zone };
    return {
      ...tick,
      label: everyHours <= 24 ? `${weekday(at)} ${calendarDay(at).split(' ')[0]}` : calendarDay(at),
    };
  });
  return {
    view: data.view,
    ticks,
    maxGapMs: data.maxGapMs,
    air: { trace: readingTrace(data.air), limits: readingLimits(data.limits.air) },
    rootZone: { trace: readingTrace(data.rootZone), limits: readingLimits(data.limits.rootZone) },
    vpd: { trace: data.vpd, limits: data.limits.vpd },
    degreeSign: degreeSign(unit.value),
    leastRange: unit.value === 'C' ? 4 : 7,
    selection,
  };
}

function PointedAt({ data, atMs }: { data: RecordData; atMs: number | null }) {
  if (atMs === null)
    return <p class="pointed">Drag across the record to choose a span, or use the two sliders.</p>;
  const reachMs = data.maxGapMs / 2;
  const told = (trace: readonly TracePoint[], text: (value: number) => string) => {
    const value = nearestPoint(trace, atMs, reachMs)?.value ?? null;
    return value === null ? '–' : text(value);
  };
  const degrees = (value: number) => `${temperatureText(value, unit.value)} ${degreeSign(unit.value)}`;
  return (
    <p class="pointed">
      <b>{momentWords({ atMs, ...reader.value })}</b> · air {told(data.air, degrees)} · air VPD{' '}
      {told(data.vpd, (value) => `${vpdText(value)} kPa`)} · root zone {told(data.rootZone, degrees)}
    </p>
  );
}

type SliderProps = { data: RecordData; selection: View | null; choose: (chosen: View | null) => void };

function SpanSliders({ data, selection, choose }: SliderProps) {
  const { view } = data;
  const chosen = selection ?? view;
  const stepMs = (view.toMs - view.fromMs) / 288;
  const words = (atMs: number) => momentWords({ atMs, ...reader.value });
  const slider = (name: string, atMs: number, set: (toMs: number) => View) => (
    <label>
      <span>
        {name} <b>{words(atMs)}</b>
      </span>
      <input
        type="range"
        min={view.fromMs}
        max={view.toMs}
        step={stepMs}
        value={atMs}
        aria-valuetext={words(atMs)}
        onInput={(event) => choose(set(Number(event.currentTarget.value)))}
      />
    </label>
  );
  return (
    <div class="sliders" role="group" aria-label="Chosen span">
      {slider('from', chosen.fromMs, (ms) => ({
        fromMs: Math.min(ms, chosen.toMs - stepMs),
        toMs: chosen.toMs,
      }))}
      {slider('to', chosen.toMs, (ms) => ({
        fromMs: chosen.fromMs,
        toMs: Math.max(ms, chosen.fromMs + stepMs),
      }))}
      <button type="button" disabled={!selection} onClick={() => choose(null)}>
        Whole view
      </button>
    </div>
  );
}

/** The record of a place: a chart with a time span to choose, and the hours and degree-hours of that span. */
export function RecordView({ place }: { place: PlaceSummary }) {
  const [span, setSpan] = useState<Span>('24 h');
  const [selection, setSelection] = useState<View | null>(null);
  const [pointedMs, setPointedMs] = useState<number | null>(null);
  const [ref, widthPx] = useWidth<HTMLDivElement>();
  const points = widthPx > 600 ? 480 : 240;
  const round = Math.floor(nowMs.value / RENEW_MS[span]);
  const key = `${span} ${points} ${round} ${JSON.stringify(place.targets)}`;
  const { value, problem, loading } = useLoaded(key, () => loadRecord(place, span, points));
  useEffect(() => setSelection(null), [span]);
  const picture = useMemo(
    () => (value ? pictureOf(value, selection, widthPx) : null),
    [value, selection, widthPx, unit.value, timeZone.value],
  );
  return (
    <section class="record">
      <h2>Record</h2>
      <fieldset class="spans">
        <legend class="unseen">Span shown</legend>
        {SPANS.map((choice) => (
          <label key={choice.span}>
            <input
              type="radio"
              name="span"
              checked={span === choice.span}
              onChange={() => setSpan(choice.span)}
            />
            <span>{choice.name}</span>
          </label>
        ))}
      </fieldset>
      {problem && <p class="problem">The record cannot be shown: {problem}</p>}
      <div class="record-columns">
        <div class="record-picture" ref={ref}>
          <p class="key">
            <span class="key-air">air</span> <span class="key-root">root zone</span>{' '}
            <span class="key-above">above</span> <span class="key-below">below its band</span>{' '}
            <span class="key-night">night</span>
          </p>
          {picture && widthPx > 0 ? (
            <RecordCanvas picture={picture} choose={setSelection} point={setPointedMs} />
          ) : (
            <p class="waiting chart-size">{loading ? 'Fetching the record…' : 'Nothing to draw.'}</p>
          )}
          {value && <PointedAt data={value} atMs={pointedMs} />}
          {value && <SpanSliders data={value} selection={selection} choose={setSelection} />}
        </div>
        {value && <SpanTable placeId={place.id} view={selection ?? value.view} whole={!selection} />}
      </div>
      {value && <RecordTable data={value} />}
    </section>
  );
}
