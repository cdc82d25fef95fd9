import { MEASURED_BY, PROBE_QUANTITIES, SERIES_QUANTITIES } from '../../shared/quantities.ts';
import type { PlaceNow, SeriesName } from '../../shared/wire/http.ts';
import { degreeSign, fixed, readingTemperature, type TemperatureUnit } from '../common/format.ts';
import type { Mark } from '../diary/marks.ts';

/** A point of a plain chart: ms since epoch and the value, null in a gap. */
type PlainPoint = { readonly tMs: number; readonly value: number | null };

/** Measured quantities that are listed plainly, as nothing else of the page shows them. */
const PLAIN: readonly SeriesName[] = Object.entries(MEASURED_BY)
  .filter(([, probe]) => !PROBE_QUANTITIES[probe].ownPlace)
  .map(([series]) => series as SeriesName);

/** The quantities of a place that have no place of their own on the page. */
export function plainQuantities(now: PlaceNow): SeriesName[] {
  return PLAIN.filter((name) => now.quantities[name] !== undefined);
}

/** A value with its unit, as the reader reads it. */
export function plainText(name: SeriesName, value: number, unit: TemperatureUnit): string {
  const { unit: own, decimals } = SERIES_QUANTITIES[name];
  if (own === '°C') return `${fixed(readingTemperature(value, unit), decimals)} ${degreeSign(unit)}`;
  return `${fixed(value, decimals)}${own === '' ? '' : ` ${own}`}`;
}

/**
 * The line of a plain chart as an SVG path in a box: a gap breaks it, a lone point is a dot.
 * @returns the path, and the lowest and highest value; null without a value
 */
export function plainPath(
  points: readonly PlainPoint[],
  box: { readonly fromMs: number; readonly toMs: number; readonly width: number; readonly height: number },
): { readonly path: string; readonly low: number; readonly high: number } | null {
  const values = points.flatMap(({ value }) => value ?? []);
  if (values.length === 0) return null;
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const x = (tMs: number) => ((tMs - box.fromMs) / (box.toMs - box.fromMs)) * box.width;
  const y = (value: number) =>
    high === low ? box.height / 2 : box.height - ((value - low) / (high - low)) * box.height;
  let isOpen = false;
  const path = points.map(({ tMs, value }, i) => {
    if (value === null) {
      isOpen = false;
      return '';
    }
    const at = `${x(tMs).toFixed(1)} ${y(value).toFixed(1)}`;
    const isLone = !isOpen && (points[i + 1]?.value ?? null) === null;
    const drawn = isOpen ? `L${at}` : `M${at}${isLone ? 'h0.01' : ''}`;
    isOpen = true;
    return drawn;
  });
  return { path: path.join(''), low, high };
}

/** Lines from top to foot of a box where somebody wrote something down, as an SVG path. */
export function marksPath(
  marks: readonly Mark[],
  box: { readonly width: number; readonly height: number; readonly fromMs: number; readonly toMs: number },
): string {
  const { width, height, fromMs, toMs } = box;
  return marks
    .map(({ atMs }) => `M${(((atMs - fromMs) / (toMs - fromMs)) * width).toFixed(1)} 0v${height}`)
    .join('');
}
