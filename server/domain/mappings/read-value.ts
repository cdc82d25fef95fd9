import { type Pointed, valueAtPointer } from '../../../shared/json-pointer.ts';
import type { MappedTime, MappedValue } from '../../../shared/model/probes/mapping.ts';
import { quoted, type Refusal } from '../ingest/refusal.ts';

/** A number as devices write it outside of JSON, or between quotes. */
const DECIMAL = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;
const RFC3339 =
  /^(\d{4})-(\d{2})-(\d{2})[Tt ]([01]\d|2[0-3]):([0-5]\d):([0-5]\d|60)(?:\.(\d{1,9}))?(?:[Zz]|([+-])([01]\d|2[0-3]):([0-5]\d))$/;
const MS_OF: Readonly<Record<Exclude<MappedTime, 'rfc3339'>, number>> = { s: 1000, ms: 1 };

/** A number, or a text that is one; null for anything else. */
export function numberIn(value: unknown): number | null {
  if (typeof value === 'number') return value;
  if (typeof value === 'boolean') return null;
  return typeof value === 'string' && DECIMAL.test(value.trim()) ? Number(value) : null;
}

/**
 * The mapped value of a message, scaled; true and false are 1 and 0 for a valve.
 * @param message the message as JSON
 * @returns a finite number, null where it may be missing and is, or why the message is refused
 */
export function readMappedValue(message: unknown, mapped: MappedValue): number | null | Refusal {
  const { pointer, probe, scale, offset, optional } = mapped;
  const at = valueAtPointer(message, pointer);
  if (!at.found || at.value === null) {
    if (optional) return null;
    return nothing(at, { pointer, wanted: probe });
  }
  const isSwitch = typeof at.value === 'boolean' && /^mist\/valve(\/|$)/.test(probe);
  const number = isSwitch ? Number(at.value) : numberIn(at.value);
  if (number === null) {
    const reason = `${where(pointer)} is ${quoted(at.value)}, not a number for ${quoted(probe)}`;
    return { code: 'mapped-no-number', reason, pointer };
  }
  return scale * number + offset;
}

/**
 * The time of a message.
 * @returns ms since epoch, or why the message is refused
 * @source RFC 3339 section 5.6
 */
export function readMappedTime(
  message: unknown,
  { pointer, as }: { readonly pointer: string; readonly as: MappedTime },
): number | Refusal {
  const at = valueAtPointer(message, pointer);
  if (!at.found || at.value === null) return nothing(at, { pointer, wanted: 'the time' });
  const tMs = as === 'rfc3339' ? rfc3339Ms(at.value) : countedMs(at.value, MS_OF[as]);
  if (tMs !== null) return tMs;
  const wanted =
    as === 'rfc3339' ? 'an RFC 3339 time with an offset, such as 2026-03-01T06:00:00Z' : `${as} since 1970`;
  const reason = `${where(pointer)} is ${quoted(at.value)}; expected ${wanted}`;
  return { code: 'mapped-bad-time', reason, pointer };
}

function nothing(at: Pointed, { pointer, wanted }: { pointer: string; wanted: string }): Refusal {
  const what = at.found ? 'is null' : 'is not in the message';
  return { code: 'mapped-nothing', reason: `${where(pointer)} ${what}; it is to be ${wanted}`, pointer };
}

function where(pointer: string): string {
  return pointer === '' ? 'the message' : quoted(pointer);
}

function countedMs(value: unknown, msOf: number): number | null {
  const count = numberIn(value);
  if (count === null) return null;
  const tMs = Math.round(count * msOf);
  return Number.isSafeInteger(tMs) ? tMs : null;
}

function rfc3339Ms(value: unknown): number | null {
  const match = typeof value === 'string' ? RFC3339.exec(value) : null;
  if (match === null) return null;
  const [, year, month, day, hour, minute, second, fraction = '', sign, offsetHours, offsetMinutes] = match;
  const dayMs = Date.UTC(Number(year), Number(month) - 1, Number(day));
  // 31 April would be taken for 1 May
  if (new Date(dayMs).getUTCDate() !== Number(day) || Number(month) > 12 || Number(month) === 0) return null;
  const wallMs = dayMs + ((Number(hour) * 60 + Number(minute)) * 60 + Number(second)) * 1000;
  const offsetMin = sign === undefined ? 0 : Number(offsetHours) * 60 + Number(offsetMinutes);
  const partMs = Math.round(Number(`0.${fraction || '0'}`) * 1000);
  return wallMs + partMs - (sign === '-' ? -1 : 1) * offsetMin * 60_000;
}
