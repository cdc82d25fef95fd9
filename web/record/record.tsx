import { useMemo, useRef, useState } from 'preact/hooks';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { call, spanQuery } from '../api.ts';
import { nearestPoint, type TracePoint } from '../bench/trace.ts';
import { degreeSign, temperatureText, vpdText } from '../common/format.ts';
import { useLoaded, useSettled, useWidth } from '../common/hooks.ts';
import type { View } from '../common/plot.ts';
import { momentWords } from '../common/time.ts';
import { nowMs, pointedMs, reader, timeZone, unit } from '../state.ts';
import { ExportLinks } from './export-links.tsx';
import { useNoted } from './noted/use-noted.ts';
import { loadRecord, pictureOf, type RecordData, type Span } from './record.ts';
import { RecordCanvas } from './record-canvas.tsx';
import { RecordTable, tableText } from './record-table.tsx';
import { CopyTools, ViewSteps } from './record-tools.tsx';
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
    return (
      <p class="pointed">
        Drag across the record to choose a span, or use the two sliders. Two fingers, Ctrl and the wheel, or
        the buttons make it closer or wider.
      </p>
    );
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

type SliderProps = { view: View; selection: View | null; choose: (chosen: View | null) => void };

function SpanSliders({ view, selection, choose }: SliderProps) {
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

/** The chart as it is drawn, on the paper of the page: a canvas itself has no ground. */
function drawnOn(canvas: HTMLCanvasElement | null): Promise<Blob | null> {
  const copy = document.createElement('canvas');
  const context = copy.getContext('2d');
  if (!canvas || !context) return Promise.resolve(null);
  copy.width = canvas.width;
  copy.height = canvas.height;
  context.fillStyle = getComputedStyle(document.body).backgroundColor;
  context.fillRect(0, 0, copy.width, copy.height);
  context.drawImage(canvas, 0, 0);
  return new Promise((done) => copy.toBlob(done, 'image/png'));
}

type Shown = { readonly span: Span; readonly movedView: View | null; readonly points: number };

/** The record over a span, or a view that a hand moved, fetched once that rests. */
function useRecord(place: PlaceSummary, { span, movedView, points }: Shown) {
  const round = Math.floor(nowMs.value / RENEW_MS[span]);
  const rested = useSettled(movedView, `${movedView?.fromMs} ${movedView?.toMs}`, SETTLE_MS);
  const which = rested ? `${rested.fromMs} ${rested.toMs}` : `${span} ${round}`;
  const key = `${which} ${points} ${JSON.stringify([place.targets, place.settings])}`;
  return useLoaded(key, () => loadRecord(place, rested ?? span, points));
}

type SpansProps = {
  readonly span: Span | null;
  readonly choose: (span: Span) => void;
  readonly view: View | null;
  readonly show: (view: View) => void;
};

function Spans({ span, choose, view, show }: SpansProps) {
  return (
    <fieldset class="spans row">
      <legend class="unseen">Span shown</legend>
      {SPANS.map((choice) => (
        <button
          key={choice.span}
          type="button"
          aria-pressed={span === choice.span}
          onClick={() => choose(choice.span)}
        >
          {choice.name}
        </button>
      ))}
      {view && <ViewSteps view={view} show={show} />}
    </fieldset>
  );
}

const KEY = (
  <p class="key">
    <span class="key-air">air</span> <span class="key-root">root zone</span>{' '}
    <span class="key-above">above</span> <span class="key-below">below its band</span>{' '}
    <span class="key-night">night</span> <span class="key-diary">diary, alarm, stage, vent</span>{' '}
    <span class="key-mist">mist</span>
  </p>
);

const point = (atMs: number | null) => {
  pointedMs.value = atMs;
};

/** The record of a place: a chart with a time span to choose, and the hours and degree-hours of that span. */
export function RecordView({ place }: { place: PlaceSummary }) {
  const [span, setSpan] = useState<Span>('24 h');
  const [selection, setSelection] = useState<View | null>(null);
  const [movedView, setMovedView] = useState<View | null>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const [ref, widthPx] = useWidth<HTMLDivElement>();
  const { value, problem, loading } = useRecord(place, {
    span,
    movedView,
    points: widthPx > 600 ? 480 : 240,
  });
  const view = movedView ?? value?.view ?? null;
  const counted = useCounted(place, selection ?? view);
  const { noted, pulsesMs } = useNoted(
    place.id,
    useSettled(view, `${view?.fromMs} ${view?.toMs}`, SETTLE_MS),
  );
  // marks are made again at each turn, and mean the same while these do
  const notedKey = JSON.stringify([noted, pulsesMs.length]);
  const picture = useMemo(
    () => (value && view ? pictureOf(value, { view, selection, widthPx, marks: noted, pulsesMs }) : null),
    [value, view?.fromMs, view?.toMs, selection, widthPx, notedKey, unit.value, timeZone.value],
  );
  const show = (next: View | null) => {
    setSelection(null);
    setMovedView(next);
  };
  const choose = (chosen: Span) => {
    show(null);
    setSpan(chosen);
  };
  return (
    <>
      <section class="record" aria-label="Record">
        <Spans span={movedView === null ? span : null} choose={choose} view={view} show={show} />
        {problem && <p class="problem">The record cannot be shown: {problem}</p>}
        <div class="record-columns">
          <div class="record-picture" ref={ref}>
            {KEY}
            {picture && widthPx > 0 ? (
              <RecordCanvas
                {...{ picture, canvas, show, point }}
                choose={setSelection}
                pointedMs={pointedMs.value}
              />
            ) : (
              <p class="waiting chart-size">{loading ? 'Fetching the record…' : 'Nothing to draw.'}</p>
            )}
            {value && <PointedAt data={value} atMs={pointedMs.value} />}
            {value && <LeftOut data={value} />}
            {view && <SpanSliders view={view} selection={selection} choose={setSelection} />}
          </div>
          {view && <SpanTable view={selection ?? view} whole={!selection} counted={counted} />}
        </div>
        {value && <RecordTable data={value} noted={noted} />}
        {value && (
          <CopyTools
            text={() => tableText(value)}
            picture={() => drawnOn(canvas.current)}
            fileName={`${place.id}.png`}
          />
        )}
        {view && <ExportLinks placeId={place.id} view={selection ?? view} />}
      </section>
      {counted.value && <SpanSection place={place} exposures={counted.value} />}
    </>
  );
}
