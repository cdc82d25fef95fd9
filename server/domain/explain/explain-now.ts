import { airVpdKpa } from '../../../shared/climate/humidity.ts';
import { LX_PER_UMOL } from '../../../shared/climate/light.ts';
import {
  airErrorRange,
  dewPointErrorRangeC,
  humidityErrorPct,
  SENSOR_CLASSES,
} from '../../../shared/climate/sensor-error.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import { PROBE_QUANTITIES, SERIES_QUANTITIES, type SeriesQuantityName } from '../../../shared/quantities.ts';
import type { ExplainedInput, Explanation, NowValue } from '../../../shared/wire/http.ts';
import { asFormulasTakeIt, INGREDIENTS, pressureOfKpa } from '../exposures/curves.ts';
import { VALUE_FORMULAS } from './formulas.ts';

/** A probe's newest reading as an explanation names it. */
export type NamedReading = {
  readonly quantity: string | null;
  readonly device: string;
  readonly name: string;
  readonly tMs: number;
  readonly value: number;
};

export type NowToExplain = {
  readonly quantity: SeriesQuantityName;
  readonly shown: NowValue | null;
  readonly readings: readonly NamedReading[];
  readonly settings: PlaceSettings;
  /** value of the sources' bibliography by key */
  readonly sourceText: (key: string) => string;
};

/** Where a present value of a place comes from: formula, readings, error and assumptions. */
export function explainNow(asked: NowToExplain): Explanation {
  const { quantity, shown, settings } = asked;
  const { formula, source } = VALUE_FORMULAS[quantity];
  return {
    of: `now.${quantity}`,
    name: SERIES_QUANTITIES[quantity].name,
    value: shown?.value ?? null,
    unit: SERIES_QUANTITIES[quantity].unit,
    formula,
    source: { key: source, text: asked.sourceText(source) },
    inputs: [...readingInputs(asked), ...settingInputs(quantity, settings)],
    coverage: null,
    errorRange: shown ? errorRange(asked) : null,
    assumptions: assumptionsOf(asked),
  };
}

function readingInputs({ quantity, readings }: NowToExplain): ExplainedInput[] {
  const wanted: readonly string[] = INGREDIENTS[quantity];
  return readings
    .filter((reading) => reading.quantity !== null && wanted.includes(reading.quantity))
    .map(({ quantity: measured, device, name, tMs, value }) => {
      const known = PROBE_QUANTITIES[measured as keyof typeof PROBE_QUANTITIES];
      const at = new Date(tMs).toISOString();
      return { name: known.name, value, unit: known.unit, at, probe: `${device}/${name}` };
    });
}

function settingInputs(quantity: SeriesQuantityName, settings: PlaceSettings): ExplainedInput[] {
  const given = (name: string, value: number | string, unit: string) => ({
    name,
    value,
    unit,
    at: null,
    probe: null,
  });
  if (quantity === 'wetBulbC' || quantity === 'humidityRatioGKg') {
    return [given('Air pressure', Number(pressureOfKpa(settings).toFixed(3)), 'kPa')];
  }
  if (quantity !== 'ppfdUmolM2S') return [];
  const { lightSource } = settings;
  return [given(`Illuminance to one µmol, ${lightSource}`, LX_PER_UMOL[lightSource], 'lx')];
}

function errorRange(asked: NowToExplain): Explanation['errorRange'] {
  const air = newestOf(asked, 'air/temperature');
  const humidity = newestOf(asked, 'air/humidity');
  const { temperatureK } = asked.settings.sensorError;
  if (asked.quantity === 'airTemperatureC' || asked.quantity === 'rootZoneTemperatureC') {
    const value = asked.shown?.value ?? 0;
    return {
      low: value - temperatureK,
      high: value + temperatureK,
      because: `sensors to ±${temperatureK} K`,
    };
  }
  if (air === null || humidity === null) return null;
  const relativeHumidityPct = asFormulasTakeIt(humidity);
  const errorPct = sensorErrorPct(asked.settings, relativeHumidityPct);
  const reading = {
    airTemperatureC: air,
    relativeHumidityPct,
    temperatureErrorK: temperatureK,
    humidityErrorPct: errorPct,
  };
  const because = `sensors to ±${temperatureK} K and ±${Number(errorPct.toFixed(1))} %RH`;
  if (asked.quantity === 'relativeHumidityPct') {
    return { low: Math.max(0, humidity - errorPct), high: Math.min(100, humidity + errorPct), because };
  }
  if (asked.quantity === 'airVpdKpa') {
    const { low, high } = airErrorRange(reading, airVpdKpa);
    return { low, high, because };
  }
  if (asked.quantity !== 'dewPointC' || relativeHumidityPct <= 0) return null;
  const { low, high } = dewPointErrorRangeC(reading);
  return low === null ? null : { low, high, because };
}

/** What a humidity sensor of the place may be off by at a reading, %RH to either side. */
export function sensorErrorPct({ sensorError }: PlaceSettings, relativeHumidityPct: number): number {
  const sensor = SENSOR_CLASSES['digital capacitive chip'];
  return sensorError.humidityPct ?? humidityErrorPct({ sensor, relativeHumidityPct }) ?? 0;
}

function newestOf({ readings }: NowToExplain, quantity: string): number | null {
  const matching = readings.filter((reading) => reading.quantity === quantity);
  return matching.length === 0 ? null : matching.reduce((sum, { value }) => sum + value, 0) / matching.length;
}

function assumptionsOf({ quantity, shown, settings, readings }: NowToExplain): string[] {
  const has = (name: string) => readings.some((reading) => reading.quantity === name);
  const assumptions: string[] = [];
  if (quantity === 'leafVpdKpa' && !has('leaf/temperature')) {
    assumptions.push(`no leaf probe: the leaf is assumed ${settings.leafOffsetK} K warmer than the air`);
  }
  if (quantity === 'ppfdUmolM2S' && !has('light/ppfd')) {
    assumptions.push(
      `estimated from illuminance as ${settings.lightSource}; other light gives other figures`,
    );
  }
  if ((quantity === 'wetBulbC' || quantity === 'humidityRatioGKg') && settings.altitudeM === null) {
    assumptions.push('no altitude stated: sea level');
  }
  if (quantity.endsWith('VpdKpa')) assumptions.push('pure water vapour: no enhancement factor of moist air');
  if (shown?.state === 'stale') assumptions.push('stale: no probe of this position tells any more');
  return assumptions;
}
