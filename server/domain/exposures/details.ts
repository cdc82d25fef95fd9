import { condensationMarginK } from '../../../shared/climate/condensation.ts';
import { derivedCurve } from '../../../shared/exposure/derive.ts';
import type { Curve } from '../../../shared/exposure/series.ts';
import type { Condensation } from '../../../shared/wire/http.ts';
import { asFormulasTakeIt, type RecordsByQuantity } from './curves.ts';
import type { ExposureQuestion } from './question.ts';

/**
 * Photon flux from which a day counts as light for a plant, µmol m⁻² s⁻¹.
 * From memory: night-interruption lighting of about 10 foot-candles, 2 µmol m⁻² s⁻¹, is enough for most crops.
 */
export const PHOTOPERIOD_PPFD = 2;

/** Root zone minus air, K. */
export function rootMinusAirCurve({ records, settings }: ExposureQuestion): Curve {
  return derivedCurve({
    inputs: { root: records['root/temperature'] ?? [], air: records['air/temperature'] ?? [] },
    maxGapMs: settings.maxGapMs,
    f: ({ root, air }) => root - air,
  });
}

/** The coldest surface that is watched; the outside stands in where there is no probe on a wall. */
export function watchedSurface(records: RecordsByQuantity): Condensation['surface'] {
  if (records['wall/temperature']) return 'wall';
  return records['outside/temperature'] ? 'outside' : null;
}

/** Margin of the watched surface over the dew point of the air, K; nothing where none is watched. */
export function condensationCurve({ records, settings }: ExposureQuestion): Curve {
  const surface = watchedSurface(records);
  return derivedCurve({
    inputs: {
      surfaceTemperatureC: surface === null ? [] : (records[`${surface}/temperature`] ?? []),
      airTemperatureC: records['air/temperature'] ?? [],
      relativeHumidityPct: records['air/humidity'] ?? [],
    },
    maxGapMs: settings.maxGapMs,
    f: (state) => {
      const relativeHumidityPct = asFormulasTakeIt(state.relativeHumidityPct);
      return relativeHumidityPct > 0 ? condensationMarginK({ ...state, relativeHumidityPct }) : null;
    },
  });
}
