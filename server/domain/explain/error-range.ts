import { leafAboveAirRangeK } from '../../../shared/climate/leaf-temperature.ts';
import { airErrorRange, humidityErrorPct, SENSOR_CLASSES } from '../../../shared/climate/sensor-error.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import { isMeasured, SERIES_QUANTITIES, type SeriesQuantityName } from '../../../shared/quantities.ts';
import type { Explanation, PlaceNow } from '../../../shared/wire/http.ts';
import { type AirQuantity, asFormulasTakeIt, leafVpdOf, OF_AIR, pressureOfKpa } from '../exposures/curves.ts';
import { leafOf } from '../present/now.ts';

type ErrorQuestion = {
  readonly quantity: SeriesQuantityName;
  readonly quantities: PlaceNow['quantities'];
  readonly settings: PlaceSettings;
  /** a leaf probe's reading, °C; null where the leaf is assumed as far from the air as the place states */
  readonly leafTemperatureC: number | null;
};

type Range = NonNullable<Explanation['errorRange']>;

/** What the errors of the sensors leave open of a present value; null where none is stated for its sensor. */
export function errorRange(asked: ErrorQuestion): Range | null {
  const { quantity, quantities, settings } = asked;
  const { temperatureK } = settings.sensorError;
  const value = quantities[quantity]?.value;
  if (value === undefined) return null;
  if (isMeasured(quantity) && SERIES_QUANTITIES[quantity].unit === '°C') {
    return {
      low: value - temperatureK,
      high: value + temperatureK,
      because: `sensors to ±${temperatureK} K`,
    };
  }
  const humidityPct = quantities.relativeHumidityPct?.value;
  if (humidityPct === undefined || (isMeasured(quantity) && quantity !== 'relativeHumidityPct')) return null;
  const humidityErrorPct = sensorErrorPct(settings, asFormulasTakeIt(humidityPct));
  const errorPct = `±${Number(humidityErrorPct.toFixed(1))} %RH`;
  if (quantity === 'relativeHumidityPct') {
    // a chip that overshoots reads above 100: what it shows stays in its own range
    const high = Math.max(value, Math.min(100, value + humidityErrorPct));
    return { low: Math.max(0, value - humidityErrorPct), high, because: `sensors to ${errorPct}` };
  }
  const sensors = `sensors to ±${temperatureK} K and ${errorPct}`;
  const leaf = quantity === 'leafVpdKpa' ? leafInLight(asked) : null;
  const because = leaf
    ? `${sensors}; a leaf ${leaf.low.toFixed(1)} to ${leaf.high.toFixed(1)} K above the air, from just misted to dry in still air`
    : sensors;
  const range = rangeOfAir(asked, humidityErrorPct);
  return range && { ...range, because };
}

/** What a humidity sensor of the place may be off by at a reading, %RH to either side. */
export function sensorErrorPct({ sensorError }: PlaceSettings, relativeHumidityPct: number): number {
  const sensor = SENSOR_CLASSES['digital capacitive chip'];
  return sensorError.humidityPct ?? humidityErrorPct({ sensor, relativeHumidityPct }) ?? 0;
}

/** Null too where the quantity may not exist within the errors, such as the dew point of air that may be dry. */
function rangeOfAir(asked: ErrorQuestion, humidityErrorPct: number): { low: number; high: number } | null {
  const { quantity, quantities, settings } = asked;
  const airTemperatureC = quantities.airTemperatureC?.value;
  if (airTemperatureC === undefined || !(quantity === 'leafVpdKpa' || Object.hasOwn(OF_AIR, quantity))) {
    return null;
  }
  const reading = {
    airTemperatureC,
    relativeHumidityPct: asFormulasTakeIt(quantities.relativeHumidityPct?.value ?? 0),
    temperatureErrorK: settings.sensorError.temperatureK,
    humidityErrorPct,
  };
  const pressureKpa = pressureOfKpa(settings);
  const ranges =
    quantity === 'leafVpdKpa'
      ? leafTemperatures(asked).map((leafC) =>
          airErrorRange(
            reading,
            (air) => leafVpdOf({ ...air, leafTemperatureC: leafC(air.airTemperatureC) }) ?? Number.NaN,
          ),
        )
      : [airErrorRange(reading, (air) => OF_AIR[quantity as AirQuantity](air, pressureKpa) ?? Number.NaN)];
  const low = Math.min(...ranges.map((range) => range.low));
  const high = Math.max(...ranges.map((range) => range.high));
  return Number.isFinite(low) && Number.isFinite(high) ? { low, high } : null;
}

/** How far above the air a leaf in the light of now may be, K; null where a probe, or the place, says how warm it is. */
function leafInLight({ quantities, settings, leafTemperatureC }: ErrorQuestion) {
  const { airTemperatureC: air, relativeHumidityPct: humidity, ppfdUmolM2S: light } = quantities;
  if (leafTemperatureC !== null || settings.leafOffsetK !== null || !air || !humidity || !light) return null;
  const state = { airTemperatureC: air.value, relativeHumidityPct: humidity.value };
  return leafAboveAirRangeK(leafOf({ ...state, ppfdUmolM2S: light.value }, settings));
}

/** The leaf at either end of its own error, or as far from the air as assumed, wherever the air is. */
function leafTemperatures(asked: ErrorQuestion): ((airC: number) => number)[] {
  const { leafTemperatureC, settings } = asked;
  const inLight = leafInLight(asked);
  if (inLight) return [inLight.low, inLight.high].map((aboveK) => (airC: number) => airC + aboveK);
  if (leafTemperatureC === null) return [(airC) => airC + (settings.leafOffsetK ?? 0)];
  return [-1, 1].map((side) => () => leafTemperatureC + side * settings.sensorError.temperatureK);
}
