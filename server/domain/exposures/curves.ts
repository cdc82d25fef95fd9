import { TEMPERATURE_LIMITS } from '../../../shared/climate/domain.ts';
import {
  type Air,
  absoluteHumidityGM3,
  airVpdKpa,
  dewPointC,
  humidityRatioKgKg,
  leafVpdKpa,
  vapourPressureKpa,
} from '../../../shared/climate/humidity.ts';
import { leafAboveAirK } from '../../../shared/climate/leaf-temperature.ts';
import { LX_PER_UMOL, ppfdFromIlluminance } from '../../../shared/climate/light.ts';
import { STANDARD_PRESSURE_KPA, standardPressureKpa } from '../../../shared/climate/pressure.ts';
import { wetBulbC } from '../../../shared/climate/wetbulb.ts';
import { derivedCurve } from '../../../shared/exposure/derive.ts';
import { medianCurve } from '../../../shared/exposure/median.ts';
import type { Curve, ProbeRecord } from '../../../shared/exposure/series.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import {
  type DerivedSeriesName,
  isMeasured,
  MEASURED_BY,
  type ProbeQuantityName,
  type SeriesQuantityName,
} from '../../../shared/quantities.ts';

/**
 * The records of the probes of one place, by what they measure; a quantity that the place has a probe for is there
 * even when nothing was read.
 */
export type RecordsByQuantity = Readonly<Partial<Record<ProbeQuantityName, readonly ProbeRecord[]>>>;

type Sources = { readonly records: RecordsByQuantity; readonly settings: PlaceSettings };

const AIR = ['air/temperature', 'air/humidity'] as const;

/** What each quantity that no probe measures alone is made from; PPFD is read where it is, else made from illuminance. */
const MADE_FROM = {
  airVpdKpa: AIR,
  leafVpdKpa: [...AIR, 'leaf/temperature', 'light/ppfd', 'light/illuminance'],
  dewPointC: AIR,
  wetBulbC: AIR,
  humidityRatioGKg: AIR,
  absoluteHumidityGM3: AIR,
  ppfdUmolM2S: ['light/ppfd', 'light/illuminance'],
} as const satisfies Record<DerivedSeriesName | 'ppfdUmolM2S', readonly ProbeQuantityName[]>;

/** Probe quantities that a series quantity is made from. */
export function ingredientsOf(series: SeriesQuantityName): readonly ProbeQuantityName[] {
  if (series === 'ppfdUmolM2S' || !isMeasured(series)) return MADE_FROM[series];
  return [MEASURED_BY[series]];
}

/**
 * A probe's relative humidity as formulas take it: chips overshoot when wet, so above 100 counts as 100.
 * @param relativeHumidityPct 0…105 %RH
 */
export function asFormulasTakeIt(relativeHumidityPct: number): number {
  return Math.min(relativeHumidityPct, 100);
}

/** Air pressure of a place, kPa: of the standard atmosphere at its altitude, 101.325 when none is stated. */
export function pressureOfKpa({ altitudeM }: Pick<PlaceSettings, 'altitudeM'>): number {
  return altitudeM === null ? STANDARD_PRESSURE_KPA : standardPressureKpa(altitudeM);
}

/**
 * Each quantity that follows from the air alone, in the unit of its name; `null` where it does not exist: a dew
 * point without vapour, what is mixed into dry air where the vapour alone would press as hard as the air does.
 */
export const OF_AIR = {
  airVpdKpa: (air: Air) => airVpdKpa(air),
  dewPointC: (air: Air) => (air.relativeHumidityPct > 0 ? dewPointC(air) : null),
  wetBulbC: (air: Air, pressureKpa: number) =>
    vapourPressureKpa(air) < pressureKpa ? wetBulbC({ ...air, pressureKpa }) : null,
  humidityRatioGKg: (air: Air, pressureKpa: number) => {
    const vapourKpa = vapourPressureKpa(air);
    return vapourKpa < pressureKpa
      ? 1000 * humidityRatioKgKg({ vapourPressureKpa: vapourKpa, pressureKpa })
      : null;
  },
  absoluteHumidityGM3: (air: Air) =>
    absoluteHumidityGM3({ vapourPressureKpa: vapourPressureKpa(air), airTemperatureC: air.airTemperatureC }),
} as const satisfies Partial<Record<SeriesQuantityName, (air: Air, pressureKpa: number) => number | null>>;

/**
 * Deficit at the leaf, kPa; `null` where an assumed offset puts the leaf beyond what any probe could read.
 * @param state humidity as a probe reads it, 0…105 %RH
 */
export function leafVpdOf(state: Air & { readonly leafTemperatureC: number }): number | null {
  const { low, high } = TEMPERATURE_LIMITS;
  const exists = state.leafTemperatureC >= low && state.leafTemperatureC <= high;
  return exists ? leafVpdKpa({ ...state, ...physical(state) }) : null;
}

export type AirQuantity = keyof typeof OF_AIR;

/**
 * What a quantity of a place did, as contract "What the exposures mean, exactly" defines it.
 * @param quantity name of the outside interface; its unit is in the name
 * @returns covered straight pieces and the stored moments
 */
export function curveOf(quantity: SeriesQuantityName, sources: Sources): Curve {
  const { records, settings } = sources;
  if (quantity === 'ppfdUmolM2S') return ppfdCurve(sources);
  if (isMeasured(quantity)) return medianCurve(records[MEASURED_BY[quantity]] ?? [], settings);
  return quantity === 'leafVpdKpa' ? leafVpdCurve(sources) : airCurve(quantity, sources);
}

function airCurve(quantity: AirQuantity, { records, settings }: Sources): Curve {
  const pressureKpa = pressureOfKpa(settings);
  return derivedCurve({
    inputs: {
      airTemperatureC: records['air/temperature'] ?? [],
      relativeHumidityPct: records['air/humidity'] ?? [],
    },
    maxGapMs: settings.maxGapMs,
    f: (air) => OF_AIR[quantity](physical(air), pressureKpa),
  });
}

function leafVpdCurve({ records, settings }: Sources): Curve {
  const leaf = records['leaf/temperature'];
  const air = {
    airTemperatureC: records['air/temperature'] ?? [],
    relativeHumidityPct: records['air/humidity'] ?? [],
  };
  const { maxGapMs } = settings;
  if (leaf) {
    const inputs = { ...air, leafTemperatureC: leaf };
    return derivedCurve({ inputs, maxGapMs, f: leafVpdOf });
  }
  if (leafOffsetFrom({ records, settings }) === 'light') {
    const inputs = { ...air, ppfdUmolM2S: ppfdRecords({ records, settings }) };
    return derivedCurve({
      inputs,
      maxGapMs,
      f: (state) => leafVpdOf({ ...state, leafTemperatureC: leafInLightC(state, settings) }),
    });
  }
  const offsetK = settings.leafOffsetK ?? 0;
  return derivedCurve({
    inputs: air,
    maxGapMs,
    f: (state) => leafVpdOf({ ...state, leafTemperatureC: state.airTemperatureC + offsetK }),
  });
}

/**
 * What is known of how warm the leaf is: a probe on it, the difference from the air that the place states, or the light
 * that falls on it; without any of them it counts as warm as the air.
 */
export function leafOffsetFrom({ records, settings }: Sources): 'probe' | 'stated' | 'light' | 'nothing' {
  if (records['leaf/temperature']) return 'probe';
  if (settings.leafOffsetK !== null) return 'stated';
  return records['light/ppfd'] || records['light/illuminance'] ? 'light' : 'nothing';
}

/** A leaf as warm as light makes it, °C: an estimate. */
function leafInLightC(
  { airTemperatureC, ppfdUmolM2S }: { airTemperatureC: number; ppfdUmolM2S: number },
  { lightSource, leaf }: Pick<PlaceSettings, 'lightSource' | 'leaf'>,
): number {
  const { airSpeedMS, widthM: leafWidthM } = leaf;
  const aboveK = leafAboveAirK({ airTemperatureC, ppfdUmolM2S, lightSource, airSpeedMS, leafWidthM });
  return airTemperatureC + aboveK;
}

function ppfdCurve(sources: Sources): Curve {
  return medianCurve(ppfdRecords(sources), sources.settings);
}

function ppfdRecords({ records, settings }: Sources): readonly ProbeRecord[] {
  const measured = records['light/ppfd'];
  if (measured) return measured;
  const lxPerUmol = LX_PER_UMOL[settings.lightSource];
  return (records['light/illuminance'] ?? []).map(({ timesMs, values }) => ({
    timesMs,
    values: values.map((illuminanceLx) => ppfdFromIlluminance({ illuminanceLx, lxPerUmol })),
  }));
}

/** A state of the air as formulas take it. @param air humidity as a probe reads it, 0…105 %RH */
export function physical(air: Air): Air {
  return {
    airTemperatureC: air.airTemperatureC,
    relativeHumidityPct: asFormulasTakeIt(air.relativeHumidityPct),
  };
}
