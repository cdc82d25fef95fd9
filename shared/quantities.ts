/** What a raw probe measures: its unit as written in the units registry for sensor packs, and the values a sound probe can send. */
export type ProbeQuantity = {
  readonly name: string;
  /** Code of the unit in a readings pack. */
  readonly unitCode: string;
  /** The unit as a person reads it. */
  readonly unit: string;
  readonly low: number;
  readonly high: number;
  readonly decimals: number;
};

/** What is drawn and read on a page over time. */
export type SeriesQuantity = {
  readonly name: string;
  readonly unit: string;
  readonly decimals: number;
};

const temperature = (name: string): ProbeQuantity => ({
  name,
  unitCode: 'Cel',
  unit: '°C',
  low: -150,
  high: 150,
  decimals: 1,
});

/**
 * Raw probe quantities by `<position>/<quantity>`. Ranges are inclusive.
 * Humidity is accepted up to 105 %RH because chips overshoot when wet; whatever is derived from it takes a value above 100 as 100.
 */
export const PROBE_QUANTITIES = {
  'root/temperature': temperature('Root-zone temperature'),
  'air/temperature': temperature('Air temperature'),
  'leaf/temperature': temperature('Leaf temperature'),
  'wall/temperature': temperature('Wall temperature'),
  'outside/temperature': temperature('Outside temperature'),
  'air/humidity': {
    name: 'Relative humidity',
    unitCode: '%RH',
    unit: '%RH',
    low: 0,
    high: 105,
    decimals: 1,
  },
  'light/illuminance': {
    name: 'Illuminance',
    unitCode: 'lx',
    unit: 'lx',
    low: 0,
    high: 200_000,
    decimals: 0,
  },
  'light/ppfd': {
    name: 'Photon flux density, 400–700 nm',
    unitCode: 'umol/m2/s',
    unit: 'µmol m⁻² s⁻¹',
    low: 0,
    high: 4000,
    decimals: 0,
  },
  'leaf/wetness': { name: 'Leaf wetness', unitCode: '/', unit: '', low: 0, high: 1, decimals: 2 },
  'mist/valve': { name: 'Mist valve', unitCode: '/', unit: '', low: 0, high: 1, decimals: 0 },
  'battery/level': { name: 'Battery level', unitCode: '%EL', unit: '%', low: 0, high: 100, decimals: 0 },
} as const satisfies Record<string, ProbeQuantity>;

export type ProbeQuantityName = keyof typeof PROBE_QUANTITIES;

/**
 * Quantities a series can be asked for. Decimals follow what probes can tell: at 24 °C, 2 %RH is 0.06 kPa,
 * so a deficit is read to 0.01 kPa and never finer.
 */
export const SERIES_QUANTITIES = {
  rootZoneTemperatureC: { name: 'Root-zone temperature', unit: '°C', decimals: 1 },
  airTemperatureC: { name: 'Air temperature', unit: '°C', decimals: 1 },
  relativeHumidityPct: { name: 'Relative humidity', unit: '%RH', decimals: 1 },
  airVpdKpa: { name: 'Vapour pressure deficit of the air', unit: 'kPa', decimals: 2 },
  leafVpdKpa: { name: 'Vapour pressure deficit at the leaf', unit: 'kPa', decimals: 2 },
  dewPointC: { name: 'Dew point', unit: '°C', decimals: 1 },
  wetBulbC: { name: 'Wet bulb', unit: '°C', decimals: 1 },
  humidityRatioGKg: { name: 'Humidity ratio', unit: 'g/kg', decimals: 1 },
  absoluteHumidityGM3: { name: 'Absolute humidity', unit: 'g/m³', decimals: 1 },
  ppfdUmolM2S: { name: 'Photon flux density, 400–700 nm', unit: 'µmol m⁻² s⁻¹', decimals: 0 },
  illuminanceLx: { name: 'Illuminance', unit: 'lx', decimals: 0 },
} as const satisfies Record<string, SeriesQuantity>;

export type SeriesQuantityName = keyof typeof SERIES_QUANTITIES;

/**
 * The same temperature on the Celsius scale.
 * @param fahrenheit temperature, °F
 * @returns temperature, °C
 * @source [SI] by definition
 * @example celsiusFromFahrenheit(70) // 21.1
 */
export function celsiusFromFahrenheit(fahrenheit: number): number {
  return ((fahrenheit - 32) * 5) / 9;
}

/**
 * The same temperature on the Fahrenheit scale.
 * @param celsius temperature, °C
 * @returns temperature, °F
 * @source [SI] by definition
 * @example fahrenheitFromCelsius(100) // 212
 */
export function fahrenheitFromCelsius(celsius: number): number {
  return (celsius * 9) / 5 + 32;
}

/**
 * The same temperature on the Celsius scale.
 * @param kelvin thermodynamic temperature, K
 * @returns temperature, °C
 * @source [SI] by definition
 * @example celsiusFromKelvin(273.16) // 0.01
 */
export function celsiusFromKelvin(kelvin: number): number {
  return kelvin - 273.15;
}

/**
 * The same temperature difference in kelvins; the 32 of the scale cancels and must not be taken off.
 * @param fahrenheitDifference difference, °F
 * @returns difference, K
 * @source [SI] by definition
 * @example kelvinDifferenceFromFahrenheitDifference(9) // 5
 */
export function kelvinDifferenceFromFahrenheitDifference(fahrenheitDifference: number): number {
  return (fahrenheitDifference * 5) / 9;
}

/**
 * The same temperature difference in Fahrenheit degrees.
 * @param kelvinDifference difference, K
 * @returns difference, °F
 * @source [SI] by definition
 * @example fahrenheitDifferenceFromKelvinDifference(5) // 9
 */
export function fahrenheitDifferenceFromKelvinDifference(kelvinDifference: number): number {
  return (kelvinDifference * 9) / 5;
}
