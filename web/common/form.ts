import { celsiusFromFahrenheit, fahrenheitFromCelsius } from '../../shared/quantities.ts';
import type { TemperatureUnit } from './format.ts';

export type FormValues = Readonly<Record<string, string>>;

/** Whether a value has fields of its own. */
export function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** What lies at a path such as `air.day.lowC`; `undefined` where the path leads nowhere. */
export function valueAt(value: unknown, path: string): unknown {
  if (path === '') return value;
  return path.split('.').reduce<unknown>((inner, key) => (isRecord(inner) ? inner[key] : undefined), value);
}

/** What was typed as a number where it is one, a comma standing for a point; else as it was typed. */
export function numberOrTyped(typed: string): number | string {
  const text = typed.trim();
  const number = Number(text.replace(',', '.'));
  return text === '' || Number.isNaN(number) ? text : number;
}

/**
 * Objections each beside its field: those about a whole group stand at its first field.
 * @param details messages by path, as an error carries them
 * @param paths of all fields of the form, in order
 * @returns messages by field path; what fits no field is left to the message of the error
 */
export function errorsByPath(details: unknown, paths: readonly string[]): Record<string, string> {
  const errors: Record<string, string> = {};
  if (!isRecord(details)) return errors;
  for (const [path, message] of Object.entries(details)) {
    const at = paths.find((known) => known === path || known.startsWith(`${path}.`));
    if (at === undefined || typeof message !== 'string') continue;
    const before = errors[at];
    errors[at] = before === undefined ? message : `${before}; ${message}`;
  }
  return errors;
}

/** A temperature as it is typed in the unit for reading; one that is no number, as it is. @param valueC °C */
export function typedTemperature(valueC: unknown, unit: TemperatureUnit): string {
  if (unit === 'C' || typeof valueC !== 'number') return String(valueC ?? '');
  return String(Number(fahrenheitFromCelsius(valueC).toFixed(1)));
}

/**
 * A temperature that was typed in the unit for reading, in °C; what is no number, as it was typed. One that was not
 * changed stays as it is kept, to the last digit.
 * @param inForceC what is kept now, °C
 */
export function celsiusTyped(typed: string, unit: TemperatureUnit, inForceC: unknown): unknown {
  const read = numberOrTyped(typed);
  if (unit === 'C' || typeof read !== 'number') return read;
  if (read === numberOrTyped(typedTemperature(inForceC, unit))) return inForceC;
  return Number(celsiusFromFahrenheit(read).toFixed(2));
}
