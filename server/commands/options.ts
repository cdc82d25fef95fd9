import { Fault } from '../../shared/faults.ts';
import type { Given } from './command.ts';

type Values = Given['values'];

/** The text given for an option, or null. */
export function textOption(values: Values, name: string): string | null {
  const value = values[name];
  return typeof value === 'string' && value !== '' ? value : null;
}

/** @throws Fault `bad-request` when the option is missing */
export function requiredOption(values: Values, name: string, what: string): string {
  const value = textOption(values, name);
  if (value !== null) return value;
  throw new Fault({ code: 'bad-request', message: `--${name} is missing: ${what}.` });
}

/** One of a closed list. @throws Fault `bad-request` */
export function chosenOption<T extends string>(
  values: Values,
  name: string,
  { known, otherwise }: { known: readonly T[]; otherwise: T | null },
): T | null {
  const value = textOption(values, name);
  if (value === null) return otherwise;
  const found = known.find((each) => each === value);
  if (found !== undefined) return found;
  throw new Fault({
    code: 'bad-request',
    message: `--${name} is "${value}"; it must be one of ${known.join(', ')}.`,
  });
}

const INSTANT = /^\d{4}-\d{2}-\d{2}(?:T\d{2}:\d{2}:\d{2}(?:\.\d+)?(?:Z|[+-]\d{2}:\d{2}))?$/i;

/** An RFC 3339 time, or a date for its first moment in UTC, as ms since epoch. @throws Fault `bad-request` */
export function instantOption(values: Values, name: string): number | null {
  const value = textOption(values, name);
  if (value === null) return null;
  const atMs = INSTANT.test(value) ? Date.parse(value) : Number.NaN;
  if (Number.isFinite(atMs)) return atMs;
  const message = `--${name} is "${value}"; give a time such as 2026-03-01T06:00:00Z, or a date for its start in UTC.`;
  throw new Fault({ code: 'bad-request', message });
}
