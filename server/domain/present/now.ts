import type { Air } from '../../../shared/climate/humidity.ts';
import { leafAboveAirK, leafAboveAirRangeK } from '../../../shared/climate/leaf-temperature.ts';
import { LX_PER_UMOL, ppfdFromIlluminance } from '../../../shared/climate/light.ts';
import { medianOf } from '../../../shared/exposure/sample.ts';
import type { Place, PlaceSettings } from '../../../shared/model/place.ts';
import { bandAt } from '../../../shared/model/target-band.ts';
import type { Targets, TemperatureBandC } from '../../../shared/model/targets.ts';
import {
  type MeasuredSeriesName,
  PROBE_QUANTITIES,
  PROBE_QUANTITY_NAMES,
  type ProbeQuantityName,
  SERIES_QUANTITIES,
  type SeriesQuantityName,
} from '../../../shared/quantities.ts';
import type { BandState, NowValue, PlaceCondition, PlaceNow } from '../../../shared/wire/http.ts';
import { asFormulasTakeIt, leafVpdOf, OF_AIR, physical, pressureOfKpa } from '../exposures/curves.ts';

/** The newest reading of one probe; `reporting` is false once it has not reported for too long. */
export type Newest = {
  readonly quantity: string | null;
  readonly tMs: number;
  readonly value: number;
  readonly reporting: boolean;
};

type NowQuestion = {
  readonly place: Place;
  readonly probes: readonly Newest[];
  readonly targets: Targets;
  readonly night: boolean;
  /** how far bands have moved to those of day, 0…1 */
  readonly dayShare: number;
  readonly probesAssigned: number;
  /** a device of the place sends what it kept */
  readonly catchingUp: boolean;
  /** it has only just begun to report */
  readonly firstReadings?: boolean;
};

/** A place as it is, without how it does. */
export type PlaceValues = Omit<PlaceNow, keyof PlaceCondition>;

/** A value at a time, ms since epoch; stale when no probe of its position still reports. */
type Sampled = {
  readonly value: number;
  readonly tMs: number;
  readonly stale: boolean;
  readonly estimated: boolean;
  readonly range?: { readonly low: number; readonly high: number };
};

/** What a place is like now: each position's newest value, and what follows from them. */
export function placeNow(question: NowQuestion): PlaceValues {
  const { place, probes } = question;
  const newestMs = probes.reduce((newest, probe) => Math.max(newest, probe.tMs), 0);
  const quantities: Partial<Record<SeriesQuantityName, NowValue>> = {};
  for (const [name, sampled] of Object.entries(valuesOf(question)) as [
    SeriesQuantityName,
    Sampled | null,
  ][]) {
    if (sampled) quantities[name] = shown(name, sampled, question);
  }
  return {
    placeId: place.id,
    newestAt: newestMs === 0 ? null : new Date(newestMs).toISOString(),
    probesTelling: probes.filter((probe) => probe.reporting).length,
    probesAssigned: question.probesAssigned,
    quantities,
    ...(question.catchingUp ? { catchingUp: true } : {}),
    ...(question.firstReadings ? { firstReadings: true } : {}),
  };
}

function valuesOf({ place, probes }: NowQuestion): Record<SeriesQuantityName, Sampled | null> {
  const at = (quantity: ProbeQuantityName) =>
    medianNow(probes.filter((probe) => probe.quantity === quantity));
  const measured = Object.fromEntries(
    PROBE_QUANTITY_NAMES.map((name) => [PROBE_QUANTITIES[name].series, at(name)]),
  ) as Record<MeasuredSeriesName, Sampled | null>;
  const { airTemperatureC: air, relativeHumidityPct: humidity, leafTemperatureC: leaf } = measured;
  const pressureKpa = pressureOfKpa(place.settings);
  const ofAir = (f: (typeof OF_AIR)[keyof typeof OF_AIR]) =>
    combined([air, humidity], ([airTemperatureC, rh]) =>
      f({ airTemperatureC, relativeHumidityPct: asFormulasTakeIt(rh) }, pressureKpa),
    );
  const light = measured.ppfdUmolM2S ?? ppfdFromLux(measured.illuminanceLx, place);
  return {
    ...measured,
    airVpdKpa: ofAir(OF_AIR.airVpdKpa),
    leafVpdKpa: leafVpdNow({ place, air, humidity, leaf, light }),
    dewPointC: ofAir(OF_AIR.dewPointC),
    wetBulbC: ofAir(OF_AIR.wetBulbC),
    humidityRatioGKg: ofAir(OF_AIR.humidityRatioGKg),
    absoluteHumidityGM3: ofAir(OF_AIR.absoluteHumidityGM3),
    ppfdUmolM2S: light,
  };
}

type Known = Sampled | null;
type LeafNow = { place: Place; air: Known; humidity: Known; leaf: Known; light: Known };

function leafVpdNow({ place, air, humidity, leaf, light }: LeafNow): Sampled | null {
  const { leafOffsetK } = place.settings;
  if (leaf === null && leafOffsetK === null && light) return leafVpdInLight({ place, air, humidity, light });
  const assumed = air && { ...air, value: air.value + (leafOffsetK ?? 0), estimated: true };
  return combined(
    [air, humidity, leaf ?? assumed],
    ([airTemperatureC, relativeHumidityPct, leafTemperatureC]) =>
      leafVpdOf({ airTemperatureC, relativeHumidityPct, leafTemperatureC }),
  );
}

/** By a leaf as warm as light makes it, between one just misted and a dry one in still air. */
function leafVpdInLight({ place, air, humidity, light }: Omit<LeafNow, 'leaf'>): Sampled | null {
  const { settings } = place;
  const vpdAt = (aboveAirK: (leaf: ReturnType<typeof leafOf>) => number) =>
    combined([air, humidity, light], ([airTemperatureC, relativeHumidityPct, ppfdUmolM2S]) => {
      const state = { airTemperatureC, relativeHumidityPct };
      const leafTemperatureC = airTemperatureC + aboveAirK(leafOf({ ...state, ppfdUmolM2S }, settings));
      return leafVpdOf({ ...state, leafTemperatureC });
    });
  const found = vpdAt(leafAboveAirK);
  const [low, high] = (['low', 'high'] as const).map((end) => vpdAt((leaf) => leafAboveAirRangeK(leaf)[end]));
  if (!found || !low || !high) return found;
  return { ...found, estimated: true, range: { low: low.value, high: high.value } };
}

/** The leaf of a place in its light, as formulas take it. */
export function leafOf(
  state: Air & { readonly ppfdUmolM2S: number },
  settings: Pick<PlaceSettings, 'leaf' | 'lightSource' | 'altitudeM'>,
): Parameters<typeof leafAboveAirRangeK>[0] {
  const { airSpeedMS, widthM: leafWidthM } = settings.leaf;
  const { ppfdUmolM2S } = state;
  const { lightSource } = settings;
  const pressureKpa = pressureOfKpa(settings);
  return { ...physical(state), ppfdUmolM2S, lightSource, airSpeedMS, leafWidthM, pressureKpa };
}

function ppfdFromLux(illuminance: Sampled | null, place: Place): Sampled | null {
  const lxPerUmol = LX_PER_UMOL[place.settings.lightSource];
  const ppfd = combined([illuminance], ([illuminanceLx]) =>
    ppfdFromIlluminance({ illuminanceLx, lxPerUmol }),
  );
  return ppfd && { ...ppfd, estimated: true };
}

/** The probes of one position that count: those still reporting; all that ever reported, when none is. */
export function counting<T extends { readonly reporting: boolean }>(probes: readonly T[]): readonly T[] {
  const reporting = probes.filter((probe) => probe.reporting);
  return reporting.length > 0 ? reporting : probes;
}

function medianNow(probes: readonly Newest[]): Sampled | null {
  const reporting = counting(probes);
  const value = medianOf(reporting.map((probe) => probe.value));
  if (value === null) return null;
  const tMs = Math.max(...reporting.map((probe) => probe.tMs));
  return { value, tMs, stale: !reporting.some(({ reporting }) => reporting), estimated: false };
}

type Numbers<T extends readonly unknown[]> = { [K in keyof T]: number };

function combined<T extends readonly (Sampled | null)[]>(
  parts: readonly [...T],
  f: (values: Numbers<T>) => number | null,
): Sampled | null {
  const known = parts.filter((part) => part !== null);
  if (known.length < parts.length) return null;
  const value = f(known.map((part) => part.value) as Numbers<T>);
  if (value === null) return null;
  return {
    value,
    tMs: Math.max(...known.map((part) => part.tMs)),
    stale: known.some((part) => part.stale),
    estimated: known.some((part) => part.estimated),
  };
}

function shown(name: SeriesQuantityName, sampled: Sampled, question: NowQuestion): NowValue {
  const { value, tMs, stale, estimated, range } = sampled;
  const state = stale ? 'stale' : bandState(name, value, question);
  const { unit } = SERIES_QUANTITIES[name];
  return { value, unit, at: new Date(tMs).toISOString(), state, estimated, ...(range ? { range } : {}) };
}

function bandState(name: SeriesQuantityName, value: number, question: NowQuestion): BandState {
  const { targets } = question;
  switch (name) {
    case 'rootZoneTemperatureC':
      return againstC(value, bandAt(question, 'rootZone'));
    case 'airTemperatureC':
      if (value > targets.air.ceilingC) return 'over-ceiling';
      return againstC(value, bandAt(question, 'air'));
    case 'airVpdKpa':
      return against(value, { low: targets.vpd.lowKpa, high: targets.vpd.highKpa });
    case 'relativeHumidityPct':
      return value >= targets.saturation.relativeHumidityPct ? 'saturated' : 'unjudged';
    default:
      return 'unjudged';
  }
}

function againstC(valueC: number, { lowC, highC }: TemperatureBandC): BandState {
  return against(valueC, { low: lowC, high: highC });
}

function against(value: number, band: { low: number; high: number }): BandState {
  if (value < band.low) return 'below';
  return value > band.high ? 'above' : 'within';
}
