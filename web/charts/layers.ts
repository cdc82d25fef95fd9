import type { Chart, Plugin, Scale } from 'chart.js';
import { excursionsOf } from '../bench/excursion.ts';
import { type LimitSpan, limitsWithin, type PlotPoint } from '../bench/trace.ts';
import type { Gap } from '../common/plot.ts';
import { type Mark, placedMarks } from '../diary/marks.ts';
import { hatch, type Palette } from './palette.ts';

type Course = {
  readonly runs: readonly PlotPoint[][];
  readonly spans: readonly LimitSpan[];
  readonly soil: boolean;
};
type Panel = {
  readonly axis: 'y' | 'vpd';
  readonly courses: readonly Course[];
  readonly gaps: readonly Gap[];
  /** stretches that a finding about a probe covers */
  readonly suspects: readonly Gap[];
  /** when mist pulses began, ms since epoch */
  readonly pulsesMs: readonly number[];
};
export type Layers = {
  readonly palette: Palette;
  readonly panels: readonly Panel[];
  readonly ceilingLabel: (ceiling: number) => string;
  readonly selection: { readonly fromMs: number; readonly toMs: number } | null;
  readonly marks: readonly Mark[];
};

type Pen = {
  readonly context: CanvasRenderingContext2D;
  readonly x: Scale;
  readonly y: Scale;
  readonly layers: Layers;
};

function rect({ context, x, y }: Pen, span: { fromMs: number; toMs: number }) {
  const left = x.getPixelForValue(span.fromMs);
  context.fillRect(left, y.top, x.getPixelForValue(span.toMs) - left, y.bottom - y.top);
}

function drawNights(pen: Pen, spans: readonly LimitSpan[]) {
  pen.context.fillStyle = pen.layers.palette.wash;
  for (const span of spans) if (span.night) rect(pen, span);
}

function drawBand(pen: Pen, { spans, soil }: Course) {
  const { context, x, y, layers } = pen;
  const { band, soilBand, soft, soilInk } = layers.palette;
  context.fillStyle = soil ? soilBand : band;
  context.strokeStyle = soil ? soilInk : soft;
  context.lineWidth = 0.8;
  context.setLineDash(soil ? [5, 3] : []);
  for (const span of spans) {
    const end = limitsWithin(span, span.toMs);
    const [left, right] = [x.getPixelForValue(span.fromMs), x.getPixelForValue(span.toMs)];
    context.globalAlpha = 0.75;
    context.beginPath();
    context.moveTo(left, y.getPixelForValue(span.high));
    context.lineTo(right, y.getPixelForValue(end.high));
    context.lineTo(right, y.getPixelForValue(end.low));
    context.lineTo(left, y.getPixelForValue(span.low));
    context.fill();
    context.globalAlpha = 0.8;
    context.beginPath();
    for (const edge of ['low', 'high'] as const) {
      context.moveTo(left, y.getPixelForValue(span[edge]));
      context.lineTo(right, y.getPixelForValue(end[edge]));
    }
    context.stroke();
  }
  context.globalAlpha = 1;
  context.setLineDash([]);
}

function drawGap(pen: Pen, gap: Gap) {
  const { context, x, y, layers } = pen;
  context.fillStyle = layers.palette.paper;
  rect(pen, gap);
  context.strokeStyle = layers.palette.soft;
  context.lineWidth = 1;
  context.setLineDash([1, 3]);
  context.beginPath();
  for (const edgeMs of [gap.fromMs, gap.toMs]) {
    context.moveTo(x.getPixelForValue(edgeMs), y.top);
    context.lineTo(x.getPixelForValue(edgeMs), y.bottom);
  }
  context.stroke();
  context.setLineDash([]);
}

function drawReach(pen: Pen, { runs, soil }: Course) {
  const { context, x, y, layers } = pen;
  context.fillStyle = soil ? layers.palette.soilInk : layers.palette.ink;
  context.globalAlpha = 0.18;
  for (const run of runs) {
    context.beginPath();
    for (const point of run) context.lineTo(x.getPixelForValue(point.tMs), y.getPixelForValue(point.max));
    for (const point of run.toReversed())
      context.lineTo(x.getPixelForValue(point.tMs), y.getPixelForValue(point.min));
    context.fill();
  }
  context.globalAlpha = 1;
}

function drawExcursions(pen: Pen, { runs, spans }: Course) {
  const { context, x, y, layers } = pen;
  for (const outside of ['below', 'above'] as const) {
    const colour = layers.palette[outside];
    context.fillStyle = hatch(context, colour, outside === 'above');
    context.strokeStyle = colour;
    context.lineWidth = 1.6;
    for (const { points, limits } of runs.flatMap((run) => excursionsOf(run, spans, outside))) {
      context.beginPath();
      for (const spot of [...points, ...limits.toReversed()])
        context.lineTo(x.getPixelForValue(spot.tMs), y.getPixelForValue(spot.value));
      context.closePath();
      context.fill();
      context.stroke();
    }
  }
}

function drawCeiling(pen: Pen, { spans }: Course) {
  const { context, x, y, layers } = pen;
  const shown = spans.filter((span) => span.ceiling !== null && y.getPixelForValue(span.ceiling) >= y.top);
  const last = shown.at(-1);
  if (!last) return;
  const { above, paper, font } = layers.palette;
  context.strokeStyle = above;
  context.lineWidth = 1.8;
  context.setLineDash([9, 4]);
  context.beginPath();
  for (const { fromMs, toMs, ceiling } of shown) {
    context.moveTo(x.getPixelForValue(fromMs), y.getPixelForValue(ceiling ?? 0));
    context.lineTo(x.getPixelForValue(toMs), y.getPixelForValue(ceiling ?? 0));
  }
  context.stroke();
  context.setLineDash([]);
  context.font = `12px ${font}`;
  context.textAlign = 'left';
  context.textBaseline = 'bottom';
  context.lineWidth = 3;
  context.strokeStyle = paper;
  context.fillStyle = above;
  const label = layers.ceilingLabel(last.ceiling ?? 0);
  context.strokeText(label, x.left + 6, y.getPixelForValue(last.ceiling ?? 0) - 3);
  context.fillText(label, x.left + 6, y.getPixelForValue(last.ceiling ?? 0) - 3);
}

/** A row of dots along the foot of the panel, with the word: a mark that needs no colour. */
function drawSuspects(pen: Pen, suspects: readonly Gap[]) {
  const { context, x, y, layers } = pen;
  const { ink, paper, font } = layers.palette;
  context.strokeStyle = ink;
  context.lineWidth = 4;
  context.lineCap = 'round';
  context.setLineDash([0, 7]);
  for (const { fromMs, toMs } of suspects) {
    const from = Math.max(x.left, x.getPixelForValue(fromMs)) + 2;
    context.beginPath();
    context.moveTo(from, y.bottom - 4);
    context.lineTo(Math.max(from + 1, x.getPixelForValue(toMs)), y.bottom - 4);
    context.stroke();
  }
  context.setLineDash([]);
  context.lineCap = 'butt';
  const [first] = suspects;
  if (!first) return;
  context.font = `12px ${font}`;
  context.textAlign = 'left';
  context.textBaseline = 'bottom';
  context.lineWidth = 3;
  context.strokeStyle = paper;
  context.fillStyle = ink;
  const at = Math.max(x.left + 2, Math.min(x.getPixelForValue(first.fromMs), x.right - 50));
  context.strokeText('suspect', at, y.bottom - 9);
  context.fillText('suspect', at, y.bottom - 9);
}

const PULSE_PX = 7;

/** A dotted line through the panel for each thing that happened, with its word at the foot where there is space. */
function drawMarks({ context, x, y, layers }: Pen) {
  const { ink, paper, font } = layers.palette;
  const seen = layers.marks.filter(({ atMs }) => atMs >= x.min && atMs <= x.max);
  context.strokeStyle = ink;
  context.lineWidth = 1;
  context.font = `12px ${font}`;
  context.textBaseline = 'top';
  for (const mark of placedMarks(seen, { x: (atMs) => x.getPixelForValue(atMs), right: x.right })) {
    context.setLineDash([2, 3]);
    context.beginPath();
    context.moveTo(mark.x, y.top);
    context.lineTo(mark.x, y.bottom);
    context.stroke();
    context.setLineDash([]);
    if (mark.label === null) continue;
    context.lineWidth = 3;
    context.strokeStyle = paper;
    context.fillStyle = ink;
    context.textAlign = mark.side === 'right' ? 'left' : 'right';
    const labelX = mark.side === 'right' ? mark.x + 3 : mark.x - 3;
    context.strokeText(mark.label, labelX, y.top + 2);
    context.fillText(mark.label, labelX, y.top + 2);
    context.lineWidth = 1;
    context.strokeStyle = ink;
  }
}

/** A short stroke from the top for each pulse of mist. */
function drawPulses({ context, x, y, layers }: Pen, pulsesMs: readonly number[]) {
  const seen = pulsesMs.filter((atMs) => atMs >= x.min && atMs <= x.max);
  context.strokeStyle = layers.palette.below;
  context.lineWidth = 1.5;
  context.beginPath();
  for (const atMs of seen) {
    const at = x.getPixelForValue(atMs);
    context.moveTo(at, y.top);
    context.lineTo(at, y.top + PULSE_PX);
  }
  context.stroke();
}

function drawSelection({ context, x, y, layers }: Pen) {
  const { selection, palette } = layers;
  if (!selection) return;
  const from = Math.max(x.left, x.getPixelForValue(selection.fromMs));
  const to = Math.min(x.right, x.getPixelForValue(selection.toMs));
  context.fillStyle = palette.paper;
  context.globalAlpha = 0.65;
  context.fillRect(x.left, y.top, from - x.left, y.bottom - y.top);
  context.fillRect(to, y.top, x.right - to, y.bottom - y.top);
  context.globalAlpha = 1;
  context.strokeStyle = palette.ink;
  context.lineWidth = 2;
  context.beginPath();
  context.moveTo(from, y.top);
  context.lineTo(from, y.bottom);
  context.moveTo(to, y.top);
  context.lineTo(to, y.bottom);
  context.stroke();
}

function eachPanel(chart: Chart<'line'>, layers: Layers, draw: (pen: Pen, panel: Panel) => void) {
  const context = chart.ctx;
  for (const panel of layers.panels) {
    const x = chart.scales['x'];
    const y = chart.scales[panel.axis];
    if (!x || !y) continue;
    context.save();
    context.beginPath();
    context.rect(x.left, y.top, x.width, y.height);
    context.clip();
    draw({ context, x, y, layers }, panel);
    context.restore();
  }
}

/** Night wash, bands, gaps and excursions under the lines; ceiling and the chosen span over them. */
export function layersPlugin(current: () => Layers): Plugin<'line'> {
  return {
    id: 'layers',
    beforeDraw(chart) {
      eachPanel(chart, current(), (pen, { courses, gaps }) => {
        drawNights(pen, courses[0]?.spans ?? []);
        for (const course of courses) drawBand(pen, course);
        for (const gap of gaps) drawGap(pen, gap);
      });
    },
    beforeDatasetsDraw(chart) {
      eachPanel(chart, current(), (pen, { courses }) => {
        for (const course of courses) drawReach(pen, course);
        for (const course of courses) drawExcursions(pen, course);
      });
    },
    afterDatasetsDraw(chart) {
      eachPanel(chart, current(), (pen, { courses, suspects, pulsesMs }) => {
        for (const course of courses) drawCeiling(pen, course);
        drawSuspects(pen, suspects);
        drawPulses(pen, pulsesMs);
        drawMarks(pen);
        drawSelection(pen);
      });
    },
  };
}
