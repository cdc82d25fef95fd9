import type { ImportMapping, TimeFormat } from '../../../../shared/model/import-mapping.ts';
import { isTimeZone } from '../../calendar/days.ts';
import { readName } from '../../ingest/name.ts';
import { quoted } from '../../ingest/refusal.ts';
import { unitCode, unitsOf } from '../units.ts';

/** The columns of a file by their place in a row, 0 the first. */
export type ResolvedMapping = {
  readonly timeAt: readonly number[];
  readonly format: TimeFormat;
  readonly columns: readonly ResolvedColumn[];
  readonly decimal: ImportMapping['decimal'];
};

export type ResolvedColumn = {
  readonly at: number;
  readonly column: string;
  readonly probe: string;
  /** unit code of readings packs; null for a number without unit */
  readonly unit: string | null;
};

/** What stands in a proposal where only a person can tell. */
export const OPEN = '?';

const TIME_WORDS: Readonly<Record<string, (zone: string) => TimeFormat>> = {
  rfc3339: () => ({ kind: 'rfc3339' }),
  local: (zone) => ({ kind: 'local', zone, order: 'ymd' }),
  'local-dmy': (zone) => ({ kind: 'local', zone, order: 'dmy' }),
  'local-mdy': (zone) => ({ kind: 'local', zone, order: 'mdy' }),
  'epoch-s': () => ({ kind: 'epoch', unit: 's' }),
  'epoch-ms': () => ({ kind: 'epoch', unit: 'ms' }),
};

/** The word of a time format in the text of a mapping. */
export function timeWord(format: TimeFormat): string {
  if (format.kind === 'rfc3339') return 'rfc3339';
  if (format.kind === 'epoch') return `epoch-${format.unit}`;
  return format.order === 'ymd' ? 'local' : `local-${format.order}`;
}

/** A mapping as one line that `parseMapping` reads: `date=time local; Temp=air/temperature °C`. */
export function mappingText({ time, columns }: Pick<ImportMapping, 'time' | 'columns'>): string {
  const times = time.columns.map((column) => `${column}=time ${timeWord(time.format)}`);
  return [...times, ...columns.map(({ column, probe, unit }) => `${column}=${probe} ${unit}`.trim())].join(
    '; ',
  );
}

/**
 * Reads a mapping as somebody typed it.
 * @param text entries `COLUMN=PROBE UNIT` and `COLUMN=time FORMAT`, with a semicolon between
 * @param zone IANA time zone of local times, or null when none was stated
 * @returns the mapping, or what is wrong with it
 */
export function parseMapping(
  text: string,
  { zone, decimal }: { zone: string | null; decimal: ImportMapping['decimal'] },
): ImportMapping | { readonly fault: string } {
  const times: { column: string; word: string }[] = [];
  const columns: { column: string; probe: string; unit: string }[] = [];
  for (const entry of text.split(';').filter((part) => part.trim() !== '')) {
    const at = entry.lastIndexOf('=');
    const [column, target] = [entry.slice(0, at).trim(), entry.slice(at + 1).trim()];
    const [first = '', ...rest] = target.split(/\s+/);
    if (at < 0 || column === '' || first === '')
      return { fault: `${quoted(entry.trim())} is not COLUMN=PROBE UNIT or COLUMN=time FORMAT` };
    if (rest.includes(OPEN)) return { fault: `${quoted(entry.trim())} still has a ${OPEN}; say what it is` };
    if (first === 'time') times.push({ column, word: rest.join(' ') });
    else columns.push({ column, probe: first, unit: rest.join(' ') });
  }
  const format = timeFormat(times, zone);
  if ('fault' in format) return format;
  if (columns.length === 0) return { fault: 'no column is mapped to a probe' };
  return { time: { columns: times.map(({ column }) => column), format }, columns, decimal };
}

function timeFormat(
  times: readonly { word: string }[],
  zone: string | null,
): TimeFormat | { readonly fault: string } {
  const words = new Set(times.map(({ word }) => word));
  const [word = ''] = words;
  if (times.length === 0) return { fault: 'no column is mapped to the time' };
  if (times.length > 2 || words.size > 1)
    return { fault: 'the time is one column, or a date and a time of one format' };
  const make = Object.hasOwn(TIME_WORDS, word) ? TIME_WORDS[word] : undefined;
  if (!make)
    return { fault: `the time format ${quoted(word)} is none of ${Object.keys(TIME_WORDS).join(', ')}` };
  const format = make(zone ?? '');
  if (format.kind !== 'local' || zone !== null) return format;
  return { fault: 'the times are local: state their zone, such as Africa/Nairobi' };
}

/**
 * Finds the columns of a mapping in a header, and checks that every reading it would make can be one.
 * @param header names of the columns
 * @param device the device the readings will be of
 * @returns the columns by place, or everything that is wrong
 */
export function resolveMapping(
  mapping: ImportMapping,
  { header, device }: { header: readonly string[]; device: string },
): ResolvedMapping | { readonly faults: readonly string[] } {
  const faults: string[] = [];
  const placeOf = (column: string): number => {
    const found = columnAt(header, column);
    if (typeof found === 'number') return found;
    faults.push(found.fault);
    return -1;
  };
  const timeAt = mapping.time.columns.map(placeOf);
  const columns = mapping.columns.map((entry) =>
    resolveColumn({ ...entry, at: placeOf(entry.column) }, device),
  );
  faults.push(...columns.flatMap((column) => ('fault' in column ? [column.fault] : [])));
  const resolved = columns.filter((column) => 'probe' in column);
  faults.push(...doubled(resolved.map(({ probe }) => probe)).map((probe) => `two columns are ${probe}`));
  faults.push(
    ...doubled([...timeAt, ...resolved.map(({ at }) => at)].filter((at) => at >= 0)).map(
      (at) => `the column ${quoted(header[at])} is mapped twice`,
    ),
  );
  const { format } = mapping.time;
  if (format.kind === 'local' && !isTimeZone(format.zone))
    faults.push(`${quoted(format.zone)} is no IANA time zone such as Pacific/Auckland`);
  if (faults.length > 0) return { faults };
  return { timeAt, format, columns: resolved, decimal: mapping.decimal };
}

type Placed = { at: number; column: string; probe: string; unit: string };

function resolveColumn(entry: Placed, device: string): ResolvedColumn | { readonly fault: string } {
  const { at, column, probe } = entry;
  const named = readName({ name: probe, device });
  if ('code' in named) return { fault: named.reason };
  const code = unitCode({ spelled: entry.unit, probe: named.probe });
  const allowed = unitsOf(named.probe);
  const unit = code === '' ? null : code;
  if (code === null) return { fault: `${quoted(entry.unit)} for ${quoted(column)} is no unit known here` };
  if (allowed && !allowed.includes(unit ?? '')) {
    const given = unit === null ? 'no unit' : quoted(entry.unit);
    return { fault: `${quoted(column)} has ${given}; ${named.probe} is read in ${allowed.join(', ')}` };
  }
  return { at, column, probe: named.probe, unit };
}

/** A column by its header, or by its number, `#1` the first. */
function columnAt(header: readonly string[], column: string): number | { readonly fault: string } {
  const places = header.flatMap((name, at) => (name === column ? [at] : []));
  if (places.length === 1 && places[0] !== undefined) return places[0];
  if (places.length > 1) {
    const numbers = places.map((at) => `#${at + 1}`).join(', ');
    return { fault: `${places.length} columns are called ${quoted(column)}; say which: ${numbers}` };
  }
  const number = Number(/^#([1-9]\d{0,3})$/.exec(column)?.[1] ?? 0);
  if (number >= 1 && number <= header.length) return number - 1;
  return { fault: `there is no column ${quoted(column)}; there are ${header.map(quoted).join(', ')}` };
}

function doubled<T>(values: readonly T[]): T[] {
  return [...new Set(values.filter((value, at) => values.indexOf(value) !== at))];
}
