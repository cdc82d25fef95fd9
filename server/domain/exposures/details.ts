import { condensationMarginK } from '../../../shared/climate/condensation.ts';
import { derivedCurve } from '../../../shared/exposure/derive.ts';
import { bandExposure, hoursAtOrAbove, integral } from '../../../shared/exposure/integrate.ts';
import { MS_PER_HOUR, type Segments, type Window } from '../../../shared/exposure/series.ts';
import type { Condensation, Exposures, RootMinusAir } from '../../../shared/wire/http.ts';
import { asFormulasTakeIt, curveOf } from './curves.ts';
import type { ExposureQuestion } from './question.ts';

/**
 * Photon flux from which a day counts as light for a plant, µmol m⁻² s⁻¹.
 * From memory: night-interruption lighting of about 10 foot-candles, 2 µmol m⁻² s⁻¹, is enough for most crops.
 */
export const PHOTOPERIOD_PPFD = 2;

/** Deficit at the leaf over the window, kPa·h: what an unrooted cutting loses by. */
export function leafVpd(question: ExposureQuestion): Exposures['leafVpd'] {
  const { max, mean, ...sums } = plain(curveOf('leafVpdKpa', question).segments, question);
  const measured = (question.records['leaf/temperature'] ?? []).length > 0;
  return {
    coveredHours: sums.coveredHours,
    kpaHours: sums.unitHours,
    maxKpa: max,
    meanKpa: mean,
    assumedOffsetK: measured ? null : question.settings.leafOffsetK,
  };
}

/** Deficit of the air summed over the day halves of the window, kPa·h. */
export function daylightVpd(air: Segments, question: ExposureQuestion): Exposures['daylightVpd'] {
  let [coveredHours, kpaHours] = [0, 0];
  for (const span of question.spans.filter(({ night }) => !night)) {
    const part = integral(air, clipped(span, question));
    coveredHours += part.coveredHours;
    kpaHours += part.unitSeconds / 3600;
  }
  return { coveredHours, kpaHours };
}

/** Root zone minus air, K, and how long and how far the air was the warmer. */
export function rootMinusAir(question: ExposureQuestion): RootMinusAir {
  const { records, settings } = question;
  const { segments } = derivedCurve({
    inputs: { root: records['root/temperature'] ?? [], air: records['air/temperature'] ?? [] },
    maxGapMs: settings.maxGapMs,
    f: ({ root, air }) => root - air,
  });
  const band = [{ fromMs: question.fromMs, toMs: question.toMs, low: 0, high: null }];
  const exposure = bandExposure(segments, band, question);
  return {
    coveredHours: exposure.coveredHours,
    hoursAirWarmer: exposure.hoursBelow,
    degreeHoursAirWarmer: exposure.unitHoursBelow,
    minK: exposure.min,
    maxK: exposure.max,
    meanK: exposure.mean,
  };
}

/** How near the coldest watched surface came to the dew point of the air, and how long it was under it. */
export function condensation(question: ExposureQuestion): Condensation {
  const { records, settings } = question;
  const surface = records['wall/temperature'] ? 'wall' : records['outside/temperature'] ? 'outside' : null;
  if (surface === null) return { surface, coveredHours: 0, hoursBelowDewPoint: 0, minMarginK: null };
  const { segments } = derivedCurve({
    inputs: {
      surfaceTemperatureC: records[`${surface}/temperature`] ?? [],
      airTemperatureC: records['air/temperature'] ?? [],
      relativeHumidityPct: records['air/humidity'] ?? [],
    },
    maxGapMs: settings.maxGapMs,
    f: (state) => {
      const relativeHumidityPct = asFormulasTakeIt(state.relativeHumidityPct);
      return relativeHumidityPct > 0 ? condensationMarginK({ ...state, relativeHumidityPct }) : null;
    },
  });
  const band = [{ fromMs: question.fromMs, toMs: question.toMs, low: 0, high: null }];
  const exposure = bandExposure(segments, band, question);
  return {
    surface,
    coveredHours: exposure.coveredHours,
    hoursBelowDewPoint: exposure.hoursBelow,
    minMarginK: exposure.min,
  };
}

/** Hours at or above the photoperiodic threshold in a window. */
export function photoperiodHours(ppfd: Segments, window: Window): number {
  return hoursAtOrAbove(ppfd, [{ ...window, limit: PHOTOPERIOD_PPFD }], window).hoursAtOrAbove;
}

function clipped(span: Window, window: Window): Window {
  return { fromMs: Math.max(span.fromMs, window.fromMs), toMs: Math.min(span.toMs, window.toMs) };
}

function plain(segments: Segments, window: Window) {
  const open = [{ fromMs: window.fromMs, toMs: window.toMs, low: null, high: null }];
  const { coveredHours, max, mean } = bandExposure(segments, open, window);
  return {
    coveredHours,
    max,
    mean,
    unitHours: (integral(segments, window).unitSeconds * 1000) / MS_PER_HOUR,
  };
}
