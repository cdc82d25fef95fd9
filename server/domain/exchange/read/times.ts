import type { RepeatedHour, TimeFormat } from '../../../../shared/model/import-mapping.ts';
import { createWallClock } from '../../calendar/wall-time.ts';

/** What a time in a file is: an instant (ms since epoch), an hour that came twice and was not asked about, or no time. */
type ReadTime =
  | { readonly kind: 'instant'; readonly tMs: number; readonly repeated: boolean }
  | { readonly kind: 'asks' }
  | { readonly kind: 'bad'; readonly reason: string };

const CLOCK = String.raw`(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?(?:\s*([AaPp])\.?[Mm]\.?)?`;
const YEAR_FIRST = new RegExp(String.raw`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T,]\s*|\s+)${CLOCK}$`);
const YEAR_LAST = new RegExp(String.raw`^(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})(?:,\s*|\s+)${CLOCK}$`);
const RFC3339 =
  /^(\d{4})-(\d{2})-(\d{2})[Tt ](\d{2}):(\d{2}):(\d{2})(?:\.(\d{1,9}))?(?:([Zz])|([+-])(\d{2}):(\d{2}))$/;
const NUMBER = /^\d+(?:[.,]\d+)?$/;

/**
 * Reads the times of a file one after the other, in the order of its rows.
 * @param format how the times are written
 * @param repeatedHour which half of an hour that came twice is meant; null: it must be asked about
 * @source RFC 3339 section 5.6
 */
export function createTimeReader(
  format: TimeFormat,
  repeatedHour: RepeatedHour | null,
): (text: string) => ReadTime {
  if (format.kind === 'rfc3339') return readRfc3339;
  if (format.kind === 'epoch') return (text) => readEpoch(text, format.unit);
  return createLocalReader(format, repeatedHour);
}

function readRfc3339(text: string): ReadTime {
  const match = RFC3339.exec(text);
  if (!match) return bad(text, 'an RFC 3339 time with an offset, such as 2026-03-01T06:00:00Z');
  const [, year, month, day, hour, minute, second, fraction, , sign, offsetHours, offsetMinutes] = match;
  const wallMs = wallTime({ year, month, day, hour, minute, second, fraction });
  if (wallMs === null || Number(offsetHours) > 23 || Number(offsetMinutes) > 59)
    return bad(text, 'a real date and time');
  const offsetMin = sign === undefined ? 0 : Number(offsetHours) * 60 + Number(offsetMinutes);
  return instant(wallMs - (sign === '-' ? -1 : 1) * offsetMin * 60_000);
}

function readEpoch(text: string, unit: 's' | 'ms'): ReadTime {
  const count = Number(text.replace(',', '.'));
  if (!NUMBER.test(text) || !Number.isFinite(count)) return bad(text, `${unit} since 1970`);
  return instant(Math.round(unit === 's' ? count * 1000 : count));
}

function createLocalReader(
  { zone, order }: Extract<TimeFormat, { kind: 'local' }>,
  repeatedHour: RepeatedHour | null,
): (text: string) => ReadTime {
  const instantsOf = createWallClock(zone);
  const choose = createHourChooser(repeatedHour);
  return (text) => {
    const match = (order === 'ymd' ? YEAR_FIRST : YEAR_LAST).exec(text);
    if (!match) return bad(text, EXAMPLES[order]);
    const [, first = '', second = '', third = '', hour, minute, seconds, fraction, half] = match;
    const [year, month, day] =
      order === 'ymd'
        ? [first, second, third]
        : order === 'dmy'
          ? [third, second, first]
          : [third, first, second];
    const hour24 = half === undefined ? hour : on24Hours(Number(hour), half);
    const century = year.length === 2 ? `20${year}` : year;
    const wallMs = wallTime({ year: century, month, day, hour: hour24, minute, second: seconds, fraction });
    if (wallMs === null) return bad(text, 'a real date and time');
    const instants = instantsOf(wallMs);
    if (instants.length === 0)
      return { kind: 'bad', reason: `"${text}" is in the hour that a clock change skips in ${zone}` };
    return choose({ wallMs, instants });
  };
}

const EXAMPLES = {
  ymd: 'a local time such as 2026-03-31 06:00:00, without offset',
  dmy: 'a local time such as 31.3.2026 06:00, day first',
  mdy: 'a local time such as 3/31/2026 6:00 PM, month first',
} as const;

/** "12" of the twelve-hour clock is the hour 0 of its half; other than 1 to 12 there is none. */
function on24Hours(hour: number, half: string): string {
  if (hour < 1 || hour > 12) return '99';
  return String((hour % 12) + (/p/i.test(half) ? 12 : 0));
}

/**
 * Chooses between the two instants of a wall-clock time that came twice. By order, the first pass ends where the wall
 * clock does not go on: it goes back, or shows the same again, as in a row an hour. In a file with the newest row first,
 * the pass met first is the second one.
 */
function createHourChooser(repeatedHour: RepeatedHour | null) {
  let lastMs: number | null = null;
  let pass: { half: 0 | 1; readonly newestFirst: boolean; wallMs: number } | null = null;
  return ({ wallMs, instants }: { wallMs: number; instants: readonly number[] }): ReadTime => {
    const [firstMs = 0, secondMs] = instants;
    if (secondMs === undefined) {
      pass = null;
      lastMs = firstMs;
      return instant(firstMs);
    }
    if (repeatedHour === null) return { kind: 'asks' };
    if (pass === null) {
      const newestFirst = lastMs !== null && lastMs > secondMs;
      pass = { half: newestFirst ? 1 : 0, newestFirst, wallMs: newestFirst ? wallMs + 1 : wallMs - 1 };
    }
    const turned = pass.newestFirst ? wallMs >= pass.wallMs : wallMs <= pass.wallMs;
    if (turned) pass.half = pass.newestFirst ? 0 : 1;
    pass.wallMs = wallMs;
    const half = repeatedHour === 'split-by-order' ? pass.half : repeatedHour === 'first' ? 0 : 1;
    lastMs = half === 0 ? firstMs : secondMs;
    return { kind: 'instant', tMs: lastMs, repeated: true };
  };
}

type WallParts = Readonly<
  Record<'year' | 'month' | 'day' | 'hour' | 'minute' | 'second' | 'fraction', string | undefined>
>;

/** @returns date and time as if they were UTC, ms since epoch; null for the 30th of February and its like */
function wallTime({
  year,
  month,
  day,
  hour,
  minute,
  second = '0',
  fraction = '0',
}: WallParts): number | null {
  const dayMs = Date.UTC(Number(year), Number(month) - 1, Number(day));
  const date = new Date(dayMs);
  const isDate =
    date.getUTCFullYear() === Number(year) &&
    date.getUTCMonth() === Number(month) - 1 &&
    date.getUTCDate() === Number(day);
  if (!isDate || Number(hour) > 23 || Number(minute) > 59 || Number(second) > 59) return null;
  const fractionMs = Math.round(Number(`0.${fraction}`) * 1000);
  return dayMs + ((Number(hour) * 60 + Number(minute)) * 60 + Number(second)) * 1000 + fractionMs;
}

function instant(tMs: number): ReadTime {
  return { kind: 'instant', tMs, repeated: false };
}

function bad(text: string, expected: string): ReadTime {
  const shown = text.length > 40 ? `${text.slice(0, 40)}…` : text;
  return {
    kind: 'bad',
    reason: `the time is ${shown === '' ? 'missing' : `"${shown}"`}; expected ${expected}`,
  };
}
