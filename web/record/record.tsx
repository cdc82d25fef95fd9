import { useEffect, useMemo, useState } from 'preact/hooks';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { call, spanQuery } from '../api.ts';
import { nearestPoint, type TracePoint } from '../bench/trace.ts';
import { degreeSign, temperatureText, vpdText } from '../common/format.ts';
import { useLoaded, useSettled, useWidth } from '../common/hooks.ts';
import type { View } from '../common/plot.ts';
import { momentWords } from '../common/time.ts';
import { useEntriesIn } from '../diary/diary-api.ts';
import { marksOf } from '../diary/marks.ts';
import { nowMs, reader, timeZone, unit } from '../state.ts';
import { ExportLinks } from './export-links.tsx';
import { loadRecord, pictureOf, type RecordData, type Span } from './record.ts';
import { RecordCanvas } from './record-canvas.tsx';
import { RecordTable } from './record-table.tsx';
import { SpanSection } from './span-section.tsx';
import { SpanTable } from './span-table.tsx';

const SETTLE_MS = 150;
const SPANS: readonly { span: Span; name: string }[] = [
  { span: '24 h', name: '24 hours' },
  { span: '7 d', name: '7 days' },
  { span: 'all', name: 'since the first reading' },
];
const RENEW_MS: Readonly<Record<Span, number>> = { '24 h': 60_000, '7 d': 300_000, all: 600_000 };

function PointedAt({ data, atMs }: { data: RecordData; atMs: number | null }) {
  if (atMs === null)
    return <p class="pointed">Drag across the record to choose a span, or use the two sliders.</p>;
  const reachMs = data.maxGapMs / 2;
  const summary = (trace: readonly TracePoint[], text: (value: number) => string) => {
    const { value = null, suspect } = nearestPoint(trace, atMs, reachMs) ?? {};
    return value === null ? '–' : `${text(value)}${suspect ? ' (suspect)' : ''}`;
  };
  const degrees = (value: number) => `${temperatureText(value, unit.value)} ${degreeSign(unit.value)}`;
  return (
    <p class="pointed">
      <b>{momentWords({ atMs, ...reader.value })}</b> · air {summary(data.air, degrees)} · air VPD{' '}
      {summary(data.vpd, (value) => `${vpdText(value)} kPa`)} · root zone {summary(data.rootZone, degrees)}
    </p>
  );
}

function LeftOut({ data: { leftOut } }: { data: RecordData }) {
  const last = leftOut.reduce<(typeof leftOut)[number] | null>((a, b) => (a && a.t > b.t ? a : b), null);
  if (!last) return null;
  const value = `${temperatureText(last.value, unit.value)} ${degreeSign(unit.value)}`;
  const when = momentWords({ atMs: Date.parse(last.t), ...reader.value });
  return (
    <p class="quiet" data-testid="left-out">
      {leftOut.length === 1 ? '1 reading is' : `${leftOut.length} readings are`} kept but not drawn, being no
      measurement; the newest {value} from {last.probe}, {when}.
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
    <fieldset class="sliders">
      <legend class="unseen">Chosen span</legend>
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
    </fieldset>
  );
}

/** What is counted over the span in view, once the span has stood still for a moment. */
function useCounted(place: PlaceSummary, view: View | null) {
  const key = `${view?.fromMs} ${view?.toMs} ${JSON.stringify(place.settings)}`;
  const settled = useSettled(view, key, SETTLE_MS);
  const settledKey = `${settled?.fromMs} ${settled?.toMs} ${JSON.stringify(place.settings)}`;
  return useLoaded(settledKey, async () =>
    settled ? call('getExposures', { params: { id: place.id }, query: spanQuery(settled) }) : null,
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
  const key = `${span} ${points} ${round} ${JSON.stringify([place.targets, place.settings])}`;
  const { value, problem, loading } = useLoaded(key, () => loadRecord(place, span, points));
  useEffect(() => setSelection(null), [span]);
  const counted = useCounted(place, selection ?? value?.view ?? null);
  const entries = useEntriesIn(place.id, value?.view ?? null);
  const picture = useMemo(
    () => (value ? pictureOf(value, { selection, widthPx, marks: marksOf(entries) }) : null),
    [value, selection, widthPx, entries, unit.value, timeZone.value],
  );
  return (
    <>
      <section class="record">
        <h2>Record</h2>
        <fieldset class="spans row">
          <legend class="unseen">Span shown</legend>
          {SPANS.map((choice) => (
            <button
              key={choice.span}
              type="button"
              aria-pressed={span === choice.span}
              onClick={() => setSpan(choice.span)}
            >
              {choice.name}
            </button>
          ))}
        </fieldset>
        {problem && <p class="problem">The record cannot be shown: {problem}</p>}
        <div class="record-columns">
          <div class="record-picture" ref={ref}>
            <p class="key">
              <span class="key-air">air</span> <span class="key-root">root zone</span>{' '}
              <span class="key-above">above</span> <span class="key-below">below its band</span>{' '}
              <span class="key-night">night</span>{' '}
              {entries.length > 0 && <span class="key-diary">diary</span>}
            </p>
            {picture && widthPx > 0 ? (
              <RecordCanvas picture={picture} choose={setSelection} point={setPointedMs} />
            ) : (
              <p class="waiting chart-size">{loading ? 'Fetching the record…' : 'Nothing to draw.'}</p>
            )}
            {value && <PointedAt data={value} atMs={pointedMs} />}
            {value && <LeftOut data={value} />}
            {value && <SpanSliders data={value} selection={selection} choose={setSelection} />}
          </div>
          {value && <SpanTable view={selection ?? value.view} whole={!selection} counted={counted} />}
        </div>
        {value && <RecordTable data={value} entries={entries} />}
        {value && <ExportLinks placeId={place.id} view={selection ?? value.view} />}
      </section>
      {counted.value && <SpanSection place={place} exposures={counted.value} />}
    </>
  );
}
