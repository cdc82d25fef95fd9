import { fahrenheitDifferenceFromKelvinDifference, fahrenheitFromCelsius } from '../../shared/quantities.ts';

export type TemperatureUnit = 'C' | 'F';

const NO_BREAK = '\u00a0';
const NARROW = '\u202f';

/** A number with fixed decimals and a true minus sign; a value that rounds to zero carries no sign. */
export function fixed(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  if (Number(text) === 0) return (0).toFixed(decimals);
  return text.replace('-', '\u2212');
}

/** A temperature in the unit for reading: °C → °C or °F. */
export function readingTemperature(valueC: number, unit: TemperatureUnit): number {
  return unit === 'C' ? valueC : fahrenheitFromCelsius(valueC);
}

/** A temperature difference or degree-hours in the unit for reading: K → K or °F, without the offset of 32. */
export function readingDifference(valueK: number, unit: TemperatureUnit): number {
  return unit === 'C' ? valueK : fahrenheitDifferenceFromKelvinDifference(valueK);
}

/** `28.9` */
export function temperatureText(valueC: number, unit: TemperatureUnit): string {
  return fixed(readingTemperature(valueC, unit), 1);
}

/** `2.2`, always without a sign: the words beside it give the direction. */
export function differenceText(valueK: number, unit: TemperatureUnit): string {
  return fixed(Math.abs(readingDifference(valueK, unit)), 1);
}

/** `°C` or `°F` */
export function degreeSign(unit: TemperatureUnit): string {
  return unit === 'C' ? '°C' : '°F';
}

/** `28.9 °C` */
export function temperatureWithUnit(valueC: number, unit: TemperatureUnit): string {
  return `${temperatureText(valueC, unit)}${NO_BREAK}${degreeSign(unit)}`;
}

/** `6.4 °C·h` */
export function degreeHoursText(valueCh: number, unit: TemperatureUnit): string {
  return `${fixed(readingDifference(valueCh, unit), 1)}${NO_BREAK}${degreeSign(unit)}·h`;
}

/** `0.21` */
export function vpdText(valueKpa: number): string {
  return fixed(valueKpa, 2);
}

/** A large count with spaces between thousands, since comma and point mean different things to different readers. */
export function countText(value: number): string {
  return String(Math.round(value)).replace(/\B(?=(\d{3})+$)/g, NARROW);
}

/** Hours to one decimal: `7.3 h`. */
export function hoursText(hours: number): string {
  return `${fixed(hours, 1)}${NO_BREAK}h`;
}
