import { leafVpdKpa } from '../../../shared/climate/humidity.ts';
import { leafAboveAirK } from '../../../shared/climate/leaf-temperature.ts';
import { MS_PER_HOUR } from '../../../shared/exposure/series.ts';
import type { Lamp } from '../../../shared/model/lamp.ts';

/** What was read of leaves and air at one moment. */
export type LeafSample = {
  readonly tMs: number;
  readonly airTemperatureC: number;
  readonly relativeHumidityPct: number;
  /** null where it is not measured: then it is estimated from the light */
  readonly leafTemperatureC: number | null;
  /** µmol m⁻² s⁻¹; null where it is not known: then a leaf that is not measured is taken as warm as the air */
  readonly ppfdUmolM2S: number | null;
  /** wet share of the leaf, 0…1; null where it is not measured: then taken as dry */
  readonly wetShare: number | null;
};

/** The leaves of a place, of which nobody reads the temperature. */
export type AssumedLeaf = {
  readonly lightSource: Lamp;
  /** m/s */
  readonly airSpeedMS: number;
  /** m */
  readonly leafWidthM: number;
};

/** How hard the air pulled at dry leaves over a span of time. */
export type EvaporativeDemand = {
  /** kPa·h */
  readonly kpaHours: number;
  readonly coveredHours: number;
  /** of the covered hours: those in which the leaf temperature is an estimate at either end */
  readonly leafEstimatedHours: number;
  /** of the covered hours: those in which wetness was not measured, so that the sum is an upper bound */
  readonly wetnessUnknownHours: number;
};

/**
 * How hard the air pulled water out of leaves: the accumulated vapour pressure gradient from leaf to air, less the share
 * of the leaf that was wet, as a wet part loses its film first.
 *
 * Gradient and wet share run in straight lines between samples, and the integral is exact along them. Where dew forms,
 * the gradient is below 0 and nothing is counted.
 * @param samples times ascending; as the functions of shared/climate ask
 * @param leaf what is assumed where its temperature is not measured
 * @param maxGapMs samples farther apart cover nothing between them
 * @returns kPa·h, 0 or more, with how much of it rests on estimates
 * @source [LOACH226] accumulated gradient, reduced in proportion to the wetted share
 * @example evaporativeDemand([dryAt(0), dryAt(HOUR_MS)], leaf, HOUR_MS).kpaHours // 0.731 with a leaf of 27 °C in air of 24 °C, 95 %
 */
export function evaporativeDemand(
  samples: readonly LeafSample[],
  leaf: AssumedLeaf,
  maxGapMs: number,
): EvaporativeDemand {
  const sums = { kpaHours: 0, coveredHours: 0, leafEstimatedHours: 0, wetnessUnknownHours: 0 };
  for (const [index, next] of samples.entries()) {
    const last = samples[index - 1];
    if (!last) continue;
    if (next.tMs <= last.tMs)
      throw new RangeError(`sample ${index}: time does not come after the one before`);
    if (next.tMs - last.tMs > maxGapMs) continue;
    const hours = (next.tMs - last.tMs) / MS_PER_HOUR;
    const gradients = [gradientKpa(last, leaf), gradientKpa(next, leaf)] as const;
    const dryShares = [dryShare(last), dryShare(next)] as const;
    sums.kpaHours += hours * meanOfProduct(gradients, dryShares);
    sums.coveredHours += hours;
    if (last.leafTemperatureC === null || next.leafTemperatureC === null) sums.leafEstimatedHours += hours;
    if (last.wetShare === null || next.wetShare === null) sums.wetnessUnknownHours += hours;
  }
  return sums;
}

function gradientKpa(sample: LeafSample, leaf: AssumedLeaf): number {
  const { airTemperatureC, relativeHumidityPct, ppfdUmolM2S } = sample;
  const aboveAirK = () => leafAboveAirK({ ...leaf, airTemperatureC, ppfdUmolM2S: ppfdUmolM2S ?? 0 });
  const leafTemperatureC = sample.leafTemperatureC ?? airTemperatureC + aboveAirK();
  return leafVpdKpa({ airTemperatureC, relativeHumidityPct, leafTemperatureC });
}

function dryShare({ wetShare }: LeafSample): number {
  return 1 - Math.min(Math.max(wetShare ?? 0, 0), 1);
}

/** Mean of gradient × dry share along two straight lines, the gradient's part below 0 left out. */
function meanOfProduct(gradients: readonly [number, number], dry: readonly [number, number]): number {
  const [from, to] = gradients;
  if (from <= 0 && to <= 0) return 0;
  if (from >= 0 && to >= 0) return simpson(gradients, dry);
  const crossing = from / (from - to);
  const dryThere = dry[0] + crossing * (dry[1] - dry[0]);
  return from > 0
    ? crossing * simpson([from, 0], [dry[0], dryThere])
    : (1 - crossing) * simpson([0, to], [dryThere, dry[1]]);
}

/** Exact for the product of two straight lines. */
function simpson(a: readonly [number, number], b: readonly [number, number]): number {
  return (a[0] * b[0] + (a[0] + a[1]) * (b[0] + b[1]) + a[1] * b[1]) / 6;
}
