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
 * The same temperature difference in Fahrenheit degrees.
 * @param kelvinDifference difference, K
 * @returns difference, °F
 * @source [SI] by definition
 * @example fahrenheitDifferenceFromKelvinDifference(5) // 9
 */
export function fahrenheitDifferenceFromKelvinDifference(kelvinDifference: number): number {
  return (kelvinDifference * 9) / 5;
}

type Conversion = (value: number) => number;
const percentFromRatio: Conversion = (ratio) => ratio * 100;

/** Unit codes accepted beside a quantity's own, by that own code. */
export const ALSO_SENT_IN: Readonly<Record<string, readonly (readonly [string, Conversion])[]>> = {
  Cel: [
    ['K', celsiusFromKelvin],
    ['degF', celsiusFromFahrenheit],
  ],
  '%RH': [['/', percentFromRatio]],
  '%EL': [['/', percentFromRatio]],
  '%': [['/', percentFromRatio]],
};
