import { saturationPressureOverWaterKpa } from '../../shared/climate/saturation.ts';
import { nearestPoint, type TracePoint } from '../bench/trace.ts';

/** Air at one moment: °C and %RH. */
export type AirSpot = { readonly tMs: number; readonly airC: number; readonly humidityPct: number };
export type Spot = { readonly airC: number; readonly humidityPct: number };
/** The part of all airs that is drawn; humidity up to 100 %RH. */
export type MapDomain = { readonly lowC: number; readonly highC: number; readonly lowPct: number };
export type MapScale = { readonly x: (airC: number) => number; readonly y: (humidityPct: number) => number };

/** Lines of equal vapour pressure deficit that are drawn, kPa. */
export const DEFICIT_LINES_KPA: readonly number[] = [0.1, 0.3, 0.5, 0.8, 1.2];
export const HIGHEST_PCT = 100;
const LEAST_SPAN_C = 6;
const LEAST_LOW_PCT = 70;
const STEPS = 40;
const LIMIT_C = 100;
const USUAL_C = 21;

/**
 * Air temperature and humidity of the same moments, in stretches without a gap.
 * @param record.reachMs how far apart the two may have been read, and how long a gap may be inside a stretch
 */
export function airTrail(
  record: { air: readonly TracePoint[]; humidity: readonly TracePoint[] },
  reachMs: number,
): AirSpot[][] {
  const stretches: AirSpot[][] = [];
  let stretch: AirSpot[] = [];
  let from = 0;
  for (const { tMs, value } of record.air) {
    while ((record.humidity[from + 1]?.tMs ?? Number.POSITIVE_INFINITY) <= tMs) from += 1;
    const humidity = nearestPoint(record.humidity.slice(from, from + 2), tMs, reachMs)?.value ?? null;
    const last = stretch.at(-1);
    if (value === null || humidity === null || (last && tMs - last.tMs > reachMs)) {
      if (stretch.length > 0) stretches.push(stretch);
      stretch = [];
    }
    if (value !== null && humidity !== null) {
      stretch.push({ tMs, airC: value, humidityPct: Math.min(HIGHEST_PCT, humidity) });
    }
  }
  if (stretch.length > 0) stretches.push(stretch);
  return stretches;
}

/** What the map must hold: all spots with a margin, never less than 6 °C and the air from 70 %RH up. */
export function mapDomain(spots: readonly Spot[]): MapDomain {
  const plausible = spots.map(({ airC }) => airC).filter((airC) => Math.abs(airC) < LIMIT_C);
  const temperatures = plausible.length === 0 ? [USUAL_C] : plausible;
  const humidities = spots.map(({ humidityPct }) => humidityPct);
  const low = temperatures.reduce((a, b) => Math.min(a, b));
  const high = temperatures.reduce((a, b) => Math.max(a, b));
  const spare = Math.max(1, (LEAST_SPAN_C - (high - low)) / 2);
  const driest = humidities.reduce((a, b) => Math.min(a, b), LEAST_LOW_PCT + 5) - 5;
  return { lowC: low - spare, highC: high + spare, lowPct: Math.max(0, Math.floor(driest / 10) * 10) };
}

function along(domain: MapDomain, humidityAt: (airC: number) => number): Spot[] {
  return Array.from({ length: STEPS + 1 }, (_, i) => {
    const airC = domain.lowC + ((domain.highC - domain.lowC) * i) / STEPS;
    return { airC, humidityPct: humidityAt(airC) };
  });
}

/**
 * The airs of one vapour pressure deficit: the humidity at which it is reached, by air temperature.
 * @param deficitKpa kPa
 * @returns spots across the whole map; humidity may lie below what is drawn
 * @source [HW83] as printed in [ASHRAE17] ch. 1 eq. 6: VPD = e_s(T) × (1 − RH/100)
 */
export function deficitLine(deficitKpa: number, domain: MapDomain): Spot[] {
  return along(domain, (airC) => 100 * (1 - deficitKpa / saturationPressureOverWaterKpa(airC)));
}

/**
 * The airs whose dew point is the temperature of a surface: more humid air wets it.
 * @param surfaceC °C
 * @returns spots from the surface's own temperature on; below it no air can wet it
 * @source [HW83] as printed in [ASHRAE17] ch. 1 eq. 6: RH = 100 × e_s(surface) / e_s(T)
 */
export function dewLine(surfaceC: number, domain: MapDomain): Spot[] {
  if (surfaceC >= domain.highC || Math.abs(surfaceC) > LIMIT_C) return [];
  const from = { ...domain, lowC: Math.max(domain.lowC, surfaceC) };
  const surfaceKpa = saturationPressureOverWaterKpa(surfaceC);
  return along(from, (airC) => (100 * surfaceKpa) / saturationPressureOverWaterKpa(airC));
}

/** A line through spots, as the path of an SVG. */
export function spotsPath(spots: readonly Spot[], scale: MapScale): string {
  return spots
    .map(
      ({ airC, humidityPct }, i) =>
        `${i === 0 ? 'M' : 'L'}${scale.x(airC).toFixed(1)} ${scale.y(humidityPct).toFixed(1)}`,
    )
    .join('');
}

/** The airs between two deficits, as a closed path. @param band kPa */
export function bandPath(
  band: { lowKpa: number; highKpa: number },
  domain: MapDomain,
  scale: MapScale,
): string {
  const edge = [...deficitLine(band.lowKpa, domain), ...deficitLine(band.highKpa, domain).reverse()];
  return `${spotsPath(edge, scale)}Z`;
}

/** The stretches of a trail cut by age into equal parts of a span, the oldest first; parts meet at a shared spot. */
export function trailByAge(
  stretches: readonly (readonly AirSpot[])[],
  span: { fromMs: number; toMs: number; parts: number },
): AirSpot[][][] {
  const partMs = (span.toMs - span.fromMs) / span.parts;
  const partOf = (tMs: number) =>
    Math.min(span.parts - 1, Math.max(0, Math.floor((tMs - span.fromMs) / partMs)));
  const parts: AirSpot[][][] = Array.from({ length: span.parts }, () => []);
  for (const stretch of stretches) {
    let before: AirSpot | null = null;
    for (const spot of stretch) {
      const part = parts[partOf(spot.tMs)];
      const joins = before !== null && partOf(before.tMs) === partOf(spot.tMs);
      if (joins) part?.at(-1)?.push(spot);
      else part?.push(before === null ? [spot] : [before, spot]);
      before = spot;
    }
  }
  return parts;
}

/** Whole steps for an axis, at most `most` of them: 1, 2, 5, 10 or 20 apart. */
export function axisTicks(low: number, high: number, most: number): number[] {
  const step = [1, 2, 5, 10, 20].find((size) => (high - low) / size <= most) ?? 50;
  const first = Math.ceil(low / step);
  return Array.from(
    { length: Math.max(0, Math.floor(high / step) - first + 1) },
    (_, i) => (first + i) * step,
  );
}
