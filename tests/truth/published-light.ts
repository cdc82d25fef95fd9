import { z } from 'zod';
import { ppfdFromIlluminance } from '../../shared/climate/light.ts';
import { WIDE_OPEN } from '../../shared/exposure/bands.ts';
import { sumOver } from '../../shared/exposure/sums.ts';
import type { PublishedRow, Recompute } from './row.ts';

const HOUR_MS = 3_600_000;
const STEP_H = 1 / 12;

/** Light sum of a record that is straight between its times, mol/m². */
function lightSumMolM2(timesH: readonly number[], ppfdUmolM2S: readonly number[]): number {
  const segments = {
    count: timesH.length - 1,
    startMs: Float64Array.from(timesH.slice(0, -1), (hour) => hour * HOUR_MS),
    endMs: Float64Array.from(timesH.slice(1), (hour) => hour * HOUR_MS),
    startValue: Float64Array.from(ppfdUmolM2S.slice(0, -1)),
    endValue: Float64Array.from(ppfdUmolM2S.slice(1)),
  };
  return sumOver(segments, WIDE_OPEN, { fromMs: 0, toMs: 24 * HOUR_MS }).area / 1_000 / 1e6;
}

function halfSineMolM2(peak: number, daylengthH: number, ppfdOf: (value: number) => number): number {
  const timesH = Array.from({ length: Math.round(daylengthH / STEP_H) + 1 }, (_, step) => step * STEP_H);
  const day = timesH.map((hour) => ppfdOf(Math.max(0, peak * Math.sin((Math.PI * hour) / daylengthH))));
  return lightSumMolM2(timesH, day);
}

const listOf = (row: PublishedRow, name: string) => z.array(z.number()).parse(row.inputs[name]);

/** How the rows on light sums are computed with this project's own functions. */
export const RECOMPUTE_LIGHT_SUMS: Readonly<Record<string, Recompute>> = {
  'daily light integral of constant PPFD': (read) =>
    lightSumMolM2([0, read('hours')], [read('ppfd_umol_m2_s'), read('ppfd_umol_m2_s')]),
  'daily light integral of a linear ramp 0-200-0': (_, row) =>
    lightSumMolM2(listOf(row, 'time_h'), listOf(row, 'ppfd_umol_m2_s')),
  'daily light integral of a half sine, peak 200, 12 h': (read) =>
    halfSineMolM2(read('ppfd_peak_umol_m2_s'), read('daylength_h'), (ppfd) => ppfd),
  'daily light integral from lux, half sine peak 10800 lux (sun)': (read) =>
    halfSineMolM2(read('lux_peak'), read('daylength_h'), (illuminanceLx) =>
      ppfdFromIlluminance({ illuminanceLx, lxPerUmol: read('lux_per_umol') }),
    ),
};
