import { Chart, LinearScale, LineController, LineElement, PointElement, type Scale } from 'chart.js';
import {
  gapsOf,
  type LimitSpan,
  type PlotPoint,
  runsOf,
  suspectSpans,
  type TracePoint,
} from '../bench/trace.ts';
import { commonGaps, type Domain, domainOf, spansInView, type View } from '../common/plot.ts';
import type { Tick } from '../common/time.ts';
import type { Mark } from '../diary/marks.ts';
import { type Layers, layersPlugin } from './layers.ts';
import { type Palette, paletteOf } from './palette.ts';

Chart.register(LineController, LineElement, PointElement, LinearScale);

type RecordCourse = { readonly trace: readonly TracePoint[]; readonly limits: readonly LimitSpan[] };
/** What the chart draws, already in the unit for reading. */
export type RecordPicture = {
  readonly view: View;
  /** the part of it of which readings were fetched; null: none yet */
  readonly loaded: View | null;
  readonly ticks: readonly Tick[];
  readonly maxGapMs: number;
  readonly air: RecordCourse;
  readonly rootZone: RecordCourse;
  readonly vpd: RecordCourse;
  readonly degreeSign: string;
  readonly leastRange: number;
  readonly selection: View | null;
  /** what people wrote down, and what happened */
  readonly marks: readonly Mark[];
  /** when mist pulses began, ms since epoch */
  readonly pulsesMs: readonly number[];
};
export type RecordChart = {
  readonly show: (picture: RecordPicture) => void;
  readonly timeAt: (offsetPx: number) => number;
  /** where a moment lies on the axis, px from the left of the canvas; null beyond the axis */
  readonly pixelAt: (atMs: number) => number | null;
  readonly recolour: () => void;
  readonly destroy: () => void;
};

type Prepared = { readonly runs: PlotPoint[][]; readonly spans: LimitSpan[] };

function prepare(course: RecordCourse, picture: RecordPicture): Prepared {
  return { runs: runsOf(course.trace, picture.maxGapMs), spans: spansInView(course.limits, picture.view) };
}

function pointsOf(runs: readonly PlotPoint[][]): { x: number; y: number }[] {
  return runs.flatMap((run) => [
    ...run.map(({ tMs, value }) => ({ x: tMs, y: value })),
    { x: (run.at(-1)?.tMs ?? 0) + 1, y: Number.NaN },
  ]);
}

function layersOf(
  picture: RecordPicture,
  palette: Palette,
  prepared: Record<'air' | 'rootZone' | 'vpd', Prepared>,
): Layers {
  const { loaded } = picture;
  const { air, rootZone, vpd } = prepared;
  // what was not fetched yet is no gap
  const gapsIn = (runs: PlotPoint[][]) =>
    loaded === null ? [] : gapsOf(runs, { ...loaded, endSlackMs: picture.maxGapMs });
  return {
    palette,
    selection: picture.selection,
    marks: picture.marks,
    ceilingLabel: (ceiling) => `ceiling ${ceiling.toFixed(1)}`,
    panels: [
      {
        axis: 'y',
        courses: [
          { ...rootZone, soil: true },
          { ...air, soil: false },
        ],
        gaps: commonGaps(gapsIn(air.runs), gapsIn(rootZone.runs)),
        suspects: [...suspectSpans(picture.rootZone.trace), ...suspectSpans(picture.air.trace)],
        pulsesMs: [],
      },
      {
        axis: 'vpd',
        courses: [{ ...vpd, soil: false }],
        gaps: gapsIn(vpd.runs),
        suspects: suspectSpans(picture.vpd.trace),
        pulsesMs: picture.pulsesMs,
      },
    ],
  };
}

const EMPTY: Layers = {
  palette: {
    ink: '',
    soft: '',
    line: '',
    paper: '',
    wash: '',
    band: '',
    soilBand: '',
    soilInk: '',
    below: '',
    above: '',
    font: '',
  },
  panels: [],
  selection: null,
  marks: [],
  ceilingLabel: String,
};

function line(yAxisID: 'y' | 'vpd', borderWidth: number) {
  return { data: [] as { x: number; y: number }[], yAxisID, borderWidth, pointRadius: 0, spanGaps: false };
}

function makeChart(
  canvas: HTMLCanvasElement,
  current: () => Layers,
): Chart<'line', { x: number; y: number }[]> {
  const fixedWidth = (axis: Scale) => {
    axis.width = 46;
  };
  const axis = { type: 'linear', position: 'left', stack: 'section', afterFit: fixedWidth } as const;
  return new Chart<'line', { x: number; y: number }[]>(canvas, {
    type: 'line',
    data: { datasets: [line('y', 2.6), line('y', 1.5), line('vpd', 1.5)] },
    options: {
      animation: false,
      parsing: false,
      normalized: true,
      responsive: true,
      maintainAspectRatio: false,
      events: [],
      layout: { padding: { top: 8, right: 10 } },
      scales: {
        x: { type: 'linear', ticks: { autoSkip: false, maxRotation: 0 } },
        vpd: { ...axis, stackWeight: 2, title: { display: true, text: 'air VPD, kPa' } },
        gap: {
          ...axis,
          stackWeight: 0.35,
          ticks: { display: false },
          grid: { display: false },
          border: { display: false },
        },
        y: { ...axis, stackWeight: 5, title: { display: true, text: '°C' } },
      },
    },
    plugins: [layersPlugin(current)],
  });
}

function pixelOf(x: Scale | undefined, atMs: number): number | null {
  return x && atMs >= x.min && atMs <= x.max ? x.getPixelForValue(atMs) : null;
}

/** The record of a place on one time axis: air and root zone against their bands above, air VPD below. */
export function recordChart(canvas: HTMLCanvasElement): RecordChart {
  let layers = EMPTY;
  let shown: RecordPicture | null = null;
  const chart = makeChart(canvas, () => layers);
  // chart.js resolves its options again at every update: a kept reference would go stale
  const axesNow = () => chart.options.scales ?? {};

  const dress = (palette: Palette) => {
    const colours = [palette.soilInk, palette.ink, palette.ink];
    for (const [i, dataset] of chart.data.datasets.entries()) dataset.borderColor = colours[i] ?? palette.ink;
    for (const [name, axis] of Object.entries(axesNow())) {
      if (!axis || name === 'gap') continue;
      axis.grid = { color: palette.line, tickLength: 4, lineWidth: 0.6 };
      axis.border = { color: palette.soft };
      Object.assign(axis.ticks ?? {}, {
        color: palette.soft,
        font: { family: palette.font, size: 12 },
        includeBounds: false,
      });
      if ('title' in axis)
        Object.assign(axis.title ?? {}, { color: palette.soft, font: { family: palette.font, size: 12 } });
    }
  };
  const range = (name: 'y' | 'vpd', { low, high }: Domain) => {
    const axis = axesNow()[name];
    if (!axis) return;
    axis.min = name === 'vpd' ? Math.max(0, low) : low;
    axis.max = high;
  };
  const show = (picture: RecordPicture) => {
    shown = picture;
    const palette = paletteOf(canvas);
    const air = prepare(picture.air, picture);
    const rootZone = prepare(picture.rootZone, picture);
    const vpd = prepare(picture.vpd, picture);
    layers = layersOf(picture, palette, { air, rootZone, vpd });
    for (const [i, runs] of [rootZone.runs, air.runs, vpd.runs].entries()) {
      const dataset = chart.data.datasets[i];
      if (dataset) dataset.data = pointsOf(runs);
    }
    range(
      'y',
      domainOf([...air.runs, ...rootZone.runs], [...air.spans, ...rootZone.spans], picture.leastRange),
    );
    range('vpd', domainOf(vpd.runs, vpd.spans, 0.3));
    const labels = new Map(picture.ticks.map((tick) => [tick.atMs, tick.label]));
    const x = axesNow()['x'];
    if (x) {
      x.min = picture.view.fromMs;
      x.max = picture.view.toMs;
      x.afterBuildTicks = (axis) => {
        axis.ticks = picture.ticks.map(({ atMs }) => ({ value: atMs }));
      };
      Object.assign(x.ticks ?? {}, { callback: (value: number | string) => labels.get(Number(value)) ?? '' });
    }
    const y = axesNow()['y'];
    if (y && 'title' in y) Object.assign(y.title ?? {}, { text: `air and root zone, ${picture.degreeSign}` });
    dress(palette);
    chart.update('none');
  };
  return {
    show,
    timeAt: (offsetPx) => chart.scales['x']?.getValueForPixel(offsetPx) ?? 0,
    pixelAt: (atMs) => pixelOf(chart.scales['x'], atMs),
    recolour: () => shown && show(shown),
    destroy: () => chart.destroy(),
  };
}
