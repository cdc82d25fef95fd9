import { useMemo } from 'preact/hooks';
import { useWidth } from '../common/hooks.ts';
import { domainOf, extremesOf, spansInView, spreadLabels, type View } from '../common/plot.ts';
import type { Tick } from '../common/time.ts';
import { type Mark, placedMarks } from '../diary/marks.ts';
import { type Excursion, excursionsOf } from './excursion.ts';
import { gapsOf, type LimitSpan, limitsWithin, type PlotPoint, runsOf, type TracePoint } from './trace.ts';

const GUTTER_PX = 38;
const LABEL_PX = 12;
const LABELLED_FROM_PX = 64;

type TraceProps = {
  readonly name: string;
  readonly trace: readonly TracePoint[];
  readonly limits: readonly LimitSpan[];
  readonly view: View;
  readonly ticks: readonly Tick[];
  readonly maxGapMs: number;
  readonly leastRange: number;
  readonly heightPx: number;
  readonly format: (value: number) => string;
  /** what people wrote down */
  readonly marks: readonly Mark[];
};

type Scale = {
  readonly x: (tMs: number) => number;
  readonly y: (value: number) => number;
  readonly right: number;
};

const at = (scale: Scale, tMs: number, value: number) =>
  `${scale.x(tMs).toFixed(1)} ${scale.y(value).toFixed(1)}`;

function linePath(run: readonly PlotPoint[], scale: Scale): string {
  const path = run.map((point, i) => `${i === 0 ? 'M' : 'L'}${at(scale, point.tMs, point.value)}`).join('');
  return run.length === 1 ? `${path}h0.01` : path;
}

function areaPath({ points, limits }: Excursion, scale: Scale): string {
  const around = [...limits.slice(0, 1), ...points, ...limits.slice(1).toReversed()];
  return `M${around.map((spot) => at(scale, spot.tMs, spot.value)).join('L')}Z`;
}

function Ground({ spans, scale, heightPx }: { spans: readonly LimitSpan[]; scale: Scale; heightPx: number }) {
  return (
    <g>
      {spans.map((span) => {
        const x = scale.x(span.fromMs);
        const width = Math.max(0, scale.x(span.toMs) - x);
        const end = limitsWithin(span, span.toMs);
        const top = `${x} ${scale.y(span.high)}L${x + width} ${scale.y(end.high)}`;
        const foot = `${x + width} ${scale.y(end.low)}L${x} ${scale.y(span.low)}`;
        return (
          <g key={span.fromMs}>
            {span.night && <rect class="night" x={x} y={0} width={width} height={heightPx} />}
            <path class="band" d={`M${top}L${foot}Z`} />
            <path class="limit" d={`M${top}M${foot}`} />
          </g>
        );
      })}
    </g>
  );
}

function Labels({
  spans,
  scale,
  format,
}: {
  spans: readonly LimitSpan[];
  scale: Scale;
  format: (v: number) => string;
}) {
  const newest = spans.at(-1);
  if (!newest) return null;
  const last = { ...newest, ...limitsWithin(newest, newest.toMs) };
  const [high, low] = spreadLabels([Math.max(LABEL_PX - 4, scale.y(last.high)), scale.y(last.low)], LABEL_PX);
  const middle = (span: LimitSpan) => (scale.x(span.fromMs) + scale.x(span.toMs)) / 2;
  const earlier = spans
    .slice(0, -1)
    .filter((span) => scale.x(span.toMs) - scale.x(span.fromMs) >= LABELLED_FROM_PX)
    .filter((span) => !span.end && (span.high !== last.high || span.low !== last.low));
  return (
    <g class="limit-labels">
      <text x={scale.right + 4} y={(high ?? 0) + 4}>
        {format(last.high)}
      </text>
      <text x={scale.right + 4} y={(low ?? 0) + 4}>
        {format(last.low)}
      </text>
      {earlier.map((span) => (
        <g key={span.fromMs}>
          <text class="inside" x={middle(span)} y={besideLine(scale.y(span.high))}>
            {format(span.high)}
          </text>
          <text class="inside" x={middle(span)} y={scale.y(span.low) + 13}>
            {format(span.low)}
          </text>
        </g>
      ))}
    </g>
  );
}

/** A line's name stands above it, or below where it would leave the drawing and meet the words above. */
function besideLine(y: number): number {
  return y < LABEL_PX + 4 ? y + LABEL_PX : y - 4;
}

function Ceiling({
  spans,
  scale,
  format,
}: {
  spans: readonly LimitSpan[];
  scale: Scale;
  format: (v: number) => string;
}) {
  const drawn = spans.filter((span) => span.ceiling !== null && scale.y(span.ceiling) > 0);
  const last = drawn.at(-1);
  if (!last || last.ceiling === null) return null;
  const path = drawn
    .map((span) => `M${scale.x(span.fromMs)} ${scale.y(span.ceiling ?? 0)}H${scale.x(span.toMs)}`)
    .join('');
  return (
    <g>
      <path class="ceiling" d={path} />
      <text class="ceiling-label" x={scale.right - 4} y={besideLine(scale.y(last.ceiling))}>
        {`ceiling ${format(last.ceiling)}`}
      </text>
    </g>
  );
}

function Excursions({
  runs,
  spans,
  scale,
}: {
  runs: readonly PlotPoint[][];
  spans: readonly LimitSpan[];
  scale: Scale;
}) {
  return (
    <g>
      {(['below', 'above'] as const).map((outside) =>
        runs
          .flatMap((run) => excursionsOf(run, spans, outside))
          .map((excursion) => (
            <path
              key={`${outside} ${excursion.points[0]?.tMs}`}
              class={`excursion ${outside}`}
              d={areaPath(excursion, scale)}
            />
          )),
      )}
    </g>
  );
}

function Marks({ marks, scale, heightPx }: { marks: readonly Mark[]; scale: Scale; heightPx: number }) {
  return (
    <g class="mark">
      {placedMarks(marks, scale).map(({ x, label, side }, i) => (
        <g key={`${i} ${x}`}>
          <path d={`M${x} 0v${heightPx}`} />
          {label && (
            <text class={side} x={side === 'right' ? x + 2 : x - 2} y={heightPx - 3}>
              {label}
            </text>
          )}
        </g>
      ))}
    </g>
  );
}

function useGeometry(props: TraceProps, widthPx: number) {
  const { trace, limits, view, maxGapMs, leastRange, heightPx } = props;
  return useMemo(() => {
    const runs = runsOf(
      trace.filter(({ tMs }) => tMs >= view.fromMs),
      maxGapMs,
    );
    const spans = spansInView(limits, view);
    const domain = domainOf(runs, spans, leastRange);
    const right = Math.max(1, widthPx - GUTTER_PX);
    const scale: Scale = {
      right,
      x: (tMs) => ((tMs - view.fromMs) / (view.toMs - view.fromMs)) * right,
      y: (value) => heightPx - ((value - domain.low) / (domain.high - domain.low)) * heightPx,
    };
    const gaps = gapsOf(runs, { ...view, endSlackMs: maxGapMs });
    return { runs, spans, scale, gaps };
  }, [trace, limits, view.fromMs, view.toMs, maxGapMs, leastRange, heightPx, widthPx]);
}

/** The last day of one layer: night washed, band shaded, gaps blank, excursions hatched. */
export function TracePlot(props: TraceProps) {
  const [ref, widthPx] = useWidth<HTMLDivElement>();
  const { heightPx, format, ticks } = props;
  const { runs, spans, scale, gaps } = useGeometry(props, widthPx);
  const extremes = extremesOf(runs);
  const label = extremes
    ? `${props.name}, last 24 h: lowest ${format(extremes.low)}, highest ${format(extremes.high)}`
    : `${props.name}, last 24 h: no readings`;
  const last = runs.at(-1)?.at(-1);
  const marks = props.marks.filter(({ atMs }) => atMs >= props.view.fromMs && atMs <= props.view.toMs);
  return (
    <div class="trace" ref={ref}>
      {widthPx > 0 && (
        <svg
          width={widthPx}
          height={heightPx}
          viewBox={`0 0 ${widthPx} ${heightPx}`}
          role="img"
          aria-label={label}
        >
          <Ground spans={spans} scale={scale} heightPx={heightPx} />
          {gaps.map((gap) => (
            <g key={gap.fromMs} class="gap">
              <rect
                x={scale.x(gap.fromMs)}
                y={0}
                width={scale.x(gap.toMs) - scale.x(gap.fromMs)}
                height={heightPx}
              />
              <path d={`M${scale.x(gap.fromMs)} 0v${heightPx}M${scale.x(gap.toMs)} 0v${heightPx}`} />
            </g>
          ))}
          <path class="hours" d={ticks.map((tick) => `M${scale.x(tick.atMs)} 0v${heightPx}`).join('')} />
          <Marks marks={marks} scale={scale} heightPx={heightPx} />
          <Ceiling spans={spans} scale={scale} format={format} />
          <Excursions runs={runs} spans={spans} scale={scale} />
          <path class="line" d={runs.map((run) => linePath(run, scale)).join('')} />
          {last && <circle class="newest" cx={scale.x(last.tMs)} cy={scale.y(last.value)} r={2.5} />}
          <Labels spans={spans} scale={scale} format={format} />
        </svg>
      )}
    </div>
  );
}

/** The surface of the medium, which carries the hours of all traces above and below it. */
export function Surface({ view, ticks }: { view: View; ticks: readonly Tick[] }) {
  const [ref, widthPx] = useWidth<HTMLDivElement>();
  const right = Math.max(1, widthPx - GUTTER_PX);
  const x = (tMs: number) => ((tMs - view.fromMs) / (view.toMs - view.fromMs)) * right;
  return (
    <div class="surface" aria-hidden="true">
      <span>last 24 h</span>
      <div class="trace" ref={ref}>
        {widthPx > 0 && (
          <svg width={widthPx} height={24} viewBox={`0 0 ${widthPx} 24`} aria-hidden="true">
            {ticks.map((tick) => (
              <g key={tick.atMs}>
                <path class="tick" d={`M${x(tick.atMs)} 17v7`} />
                <text
                  class={tick.midnight ? 'midnight' : ''}
                  x={Math.min(Math.max(x(tick.atMs), 8), right)}
                  y={13}
                >
                  {tick.label}
                </text>
              </g>
            ))}
            <text class="present" x={right} y={13}>
              now
            </text>
          </svg>
        )}
      </div>
    </div>
  );
}
