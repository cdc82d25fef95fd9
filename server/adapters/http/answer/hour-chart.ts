import type { LastHour } from '../../../../shared/wire/answer.ts';
import { ANSWER_PAGE_WORDS, hourWords, valueText } from '../../../../shared/words/answer.ts';
import { clock } from '../../../../shared/words/plain.ts';
import { escaped } from './markup.ts';

/** The drawing and the part of it that is plotted, in units of the picture, about px on a phone. */
const WIDTH = 340;
const HEIGHT = 190;
const PLOT = { left: 40, right: 334, top: 28, bottom: 166 } as const;
const TICK_MS = 15 * 60_000;
const MOST_TICKS_UP = 4;
/** Flatter lines are drawn over so much at least, so that noise does not look like weather; in the unit drawn. */
const LEAST_RANGE: Readonly<Record<string, number>> = { '°C': 4, kPa: 0.3, '%': 10 };
const TABLE_EVERY_MS = 10 * 60_000;

type Scale = { readonly x: (tMs: number) => number; readonly y: (value: number) => number };
type Point = { readonly tMs: number; readonly value: number };

/** The last hour as a picture of its own: axes with their labels, the limit, what lies beyond it hatched, gaps left open. */
export function hourChart(hour: LastHour, timeZone: string): string {
  const range = rangeOf(hour);
  const scale = scaleOf(hour, range);
  const runs = runsOf(hour.points);
  const title = `<title>${escaped(hourWords(hour))}</title>`;
  return `<svg class="hour" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" data-testid="answer-chart">${title}
${upAxis(hour, range, scale)}
${timeAxis(hour, timeZone, scale)}
${hour.limit === null ? '' : beyond(hour.limit, runs, scale)}
${runs.map((run) => lineOf(run, scale)).join('')}
${hour.limit === null ? '' : limitLine(hour, hour.limit, scale)}
</svg>`;
}

/** The same in numbers, every ten minutes. */
export function hourTable(hour: LastHour, timeZone: string): string {
  const toMs = Date.parse(hour.to);
  const rows: string[] = [];
  for (let atMs = Date.parse(hour.from); atMs <= toMs; atMs += TABLE_EVERY_MS) {
    const found = hour.points
      .filter(({ value }) => value !== null)
      .find(({ t }) => Math.abs(Date.parse(t) - atMs) <= 60_000);
    const value =
      typeof found?.value === 'number' ? valueText(found.value, hour) : ANSWER_PAGE_WORDS.noReadings;
    rows.push(`<tr><td>${clock(atMs, { timeZone, nowMs: atMs })}</td><td>${escaped(value)}</td></tr>`);
  }
  return `<table><thead><tr><th scope="col">${ANSWER_PAGE_WORDS.time}</th><th scope="col">${escaped(hour.name)}</th></tr></thead>
<tbody>${rows.join('')}</tbody></table>`;
}

type Range = { readonly low: number; readonly high: number; readonly step: number };

/** Whole steps around all that is drawn, the limit among it. */
function rangeOf({ points, limit, unit }: LastHour): Range {
  const values = points.flatMap(({ value }) => (value === null ? [] : [value]));
  const all = limit === null ? values : [...values, limit.value];
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const missing = Math.max((LEAST_RANGE[unit] ?? 1) - (high - low), 0);
  const span = high - low + missing;
  const step = stepFor(span / MOST_TICKS_UP);
  return {
    low: Math.floor((low - missing / 2) / step) * step,
    high: Math.ceil((high + missing / 2) / step) * step,
    step,
  };
}

/** The least of 1, 2, 5 times a power of ten that is no less than this. */
function stepFor(least: number): number {
  const power = 10 ** Math.floor(Math.log10(least));
  return power * ([1, 2, 5, 10].find((one) => one * power >= least * 0.999) ?? 10);
}

function scaleOf({ from, to }: LastHour, { low, high }: Range): Scale {
  const [fromMs, toMs] = [Date.parse(from), Date.parse(to)];
  return {
    x: (tMs) => round(PLOT.left + ((tMs - fromMs) / (toMs - fromMs)) * (PLOT.right - PLOT.left)),
    y: (value) => round(PLOT.bottom - ((value - low) / (high - low)) * (PLOT.bottom - PLOT.top)),
  };
}

function round(at: number): number {
  return Math.round(at * 10) / 10;
}

/** Stretches without a gap. */
function runsOf(points: LastHour['points']): Point[][] {
  const runs: Point[][] = [[]];
  for (const { t, value } of points) {
    if (value === null) runs.push([]);
    else runs.at(-1)?.push({ tMs: Date.parse(t), value });
  }
  return runs.filter(({ length }) => length > 0);
}

function upAxis({ name, unit }: LastHour, { low, high, step }: Range, { y }: Scale): string {
  const decimals = Math.max(0, -Math.floor(Math.log10(step)));
  const ticks: string[] = [];
  for (let k = 0; low + k * step <= high + step / 1000; k += 1) {
    const value = low + k * step;
    const at = y(value);
    const text = value.toFixed(decimals).replace('-', '−');
    ticks.push(
      `<line class="grid" x1="${PLOT.left}" x2="${PLOT.right}" y1="${at}" y2="${at}"/><text class="tick" x="${PLOT.left - 5}" y="${at + 4}" text-anchor="end">${text}</text>`,
    );
  }
  return `<text class="axis-name" x="2" y="12">${escaped([name, unit].filter(Boolean).join(', '))}</text>${ticks.join('')}`;
}

function timeAxis({ from, to }: LastHour, timeZone: string, { x }: Scale): string {
  const [fromMs, toMs] = [Date.parse(from), Date.parse(to)];
  const ticks: string[] = [];
  for (let atMs = Math.ceil(fromMs / TICK_MS) * TICK_MS; atMs <= toMs; atMs += TICK_MS) {
    const at = x(atMs);
    const anchor = at > PLOT.right - 14 ? 'end' : 'middle';
    ticks.push(
      `<line class="grid" x1="${at}" x2="${at}" y1="${PLOT.bottom}" y2="${PLOT.bottom + 4}"/><text class="tick" x="${at}" y="${PLOT.bottom + 17}" text-anchor="${anchor}">${clock(atMs, { timeZone, nowMs: atMs })}</text>`,
    );
  }
  return ticks.join('');
}

function pathOf(run: readonly Point[], { x, y }: Scale): string {
  return run.map(({ tMs, value }, i) => `${i === 0 ? 'M' : 'L'}${x(tMs)} ${y(value)}`).join('');
}

function lineOf(run: readonly Point[], scale: Scale): string {
  const [first] = run;
  if (run.length === 1 && first)
    return `<circle class="reading" cx="${scale.x(first.tMs)}" cy="${scale.y(first.value)}" r="2.5"/>`;
  return `<path class="trace" d="${pathOf(run, scale)}"/>`;
}

type Limit = NonNullable<LastHour['limit']>;

/** What lies beyond the limit, in the colour and hatch of its side. */
function beyond({ value, sense }: Limit, runs: readonly (readonly Point[])[], scale: Scale): string {
  const at = scale.y(value);
  const [top, bottom] = sense === 'above' ? [PLOT.top, at] : [at, PLOT.bottom];
  const hatch = sense === 'above' ? 'M-2 8L8 -2' : 'M-2 -2L8 8';
  const areas = runs
    .filter(({ length }) => length > 1)
    .map((run) => {
      const [first, last] = [run[0] as Point, run.at(-1) as Point];
      return `<path d="${pathOf(run, scale)}L${scale.x(last.tMs)} ${at}L${scale.x(first.tMs)} ${at}Z"/>`;
    })
    .join('');
  return `<defs><clipPath id="beyond"><rect x="${PLOT.left}" y="${top}" width="${PLOT.right - PLOT.left}" height="${round(bottom - top)}"/></clipPath>
<pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse"><path class="${sense}" d="${hatch}"/></pattern></defs>
<g class="beyond ${sense}" clip-path="url(#beyond)"><g fill="url(#hatch)">${areas}</g></g>`;
}

function limitLine(hour: LastHour, { value, sense }: Limit, { y }: Scale): string {
  const at = y(value);
  // on the side that is harmless, where the line of an alarm is not
  const below = sense === 'above' ? at + 14 < PLOT.bottom : at - 6 < PLOT.top + 8;
  const text = `limit ${valueText(value, hour)}`;
  return `<line class="limit" x1="${PLOT.left}" x2="${PLOT.right}" y1="${at}" y2="${at}"/><text class="limit-name" x="${PLOT.left + 4}" y="${round(below ? at + 14 : at - 5)}">${escaped(text)}</text>`;
}
