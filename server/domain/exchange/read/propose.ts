import type { ImportMapping } from '../../../../shared/model/import-mapping.ts';
import { quantityFromWords } from '../../../../shared/quantities.ts';
import { wellKnown } from '../../ingest/quantity.ts';
import { quoted } from '../../ingest/refusal.ts';
import { isMissing } from '../numbers.ts';
import { type FormatGuess, guessTimeFormat } from '../time-format.ts';
import { unitCode, unitsOf } from '../units.ts';
import { mappingText, OPEN, parseMapping, timeWord } from './mapping.ts';

/** A mapping made from what a file says of itself; what it does not say is never guessed. */
type Proposal = {
  /** null while something is undecided */
  readonly mapping: ImportMapping | null;
  /** the mapping as one line, with `?` where only a person can tell */
  readonly text: string;
  readonly undecided: readonly string[];
  readonly notes: readonly string[];
};

type SampledFile = {
  readonly header: readonly string[];
  readonly rows: readonly (readonly string[])[];
  /** the device the readings will be of */
  readonly device: string;
  /** the device of the file that is meant; null or left out: see `ownerOf` */
  readonly of?: string | null;
  /** IANA time zone of times without offset, when it was stated */
  readonly zone: string | null;
};

type Column = { readonly at: number; readonly name: string; readonly spelled: string; readonly key: string };
type Entry = { readonly column: Column; readonly probe: string; readonly unit: string };

/**
 * Proposes what the columns of a file are, from its header and its first rows.
 * @returns a mapping to be shown and checked; units, zones and the order of day and month are left open where the file
 * does not show them
 */
export function proposeMapping(file: SampledFile): Proposal {
  const columns = file.header.map((name, at) => columnOf(name, at, file.header));
  const time = timeOf(columns, file);
  const entries = entriesOf(
    columns.filter(({ at }) => !time?.columns.some((column) => column.at === at)),
    file,
  );
  const used = new Set([...(time?.columns ?? []), ...entries.map(({ column }) => column)]);
  const left = columns.filter((column) => !used.has(column)).map(({ key }) => quoted(key));
  const notes = left.length > 0 ? [`left out: ${left.join(', ')}`] : [];
  const undecided = [
    ...(time ? formatDoubts(time.format, file.zone) : ['which column is the time']),
    ...(entries.length === 0 ? ['which columns are readings'] : []),
    ...entries.filter(({ unit }) => unit === OPEN).map(unitDoubt),
  ];
  const text = textOf(time, entries);
  const decimal = decimalOf(entries, file.rows);
  const parsed = undecided.length > 0 ? null : parseMapping(text, { zone: file.zone, decimal });
  if (parsed === null) return { mapping: null, text, undecided, notes };
  if ('fault' in parsed) return { mapping: null, text, undecided: [parsed.fault], notes };
  return { mapping: parsed, text: mappingText(parsed), undecided, notes };
}

function unitDoubt({ column, probe }: Entry): string {
  return `the unit of ${quoted(column.key)}: ${unitsOf(probe)?.join(' or ') ?? 'the file does not say'}`;
}

function formatDoubts(format: FormatGuess, zone: string | null): string[] {
  if (format.kind !== 'local') return [];
  const order = format.order === null ? ['whether day or month comes first: local-dmy or local-mdy'] : [];
  return zone === null
    ? [...order, 'the zone of the times, which have no offset: --zone America/Chicago']
    : order;
}

function textOf(time: TimeColumns | null, entries: readonly Entry[]): string {
  const word = time === null ? OPEN : wordOf(time.format);
  const times =
    time === null ? [`${OPEN}=time ${OPEN}`] : time.columns.map(({ key }) => `${key}=time ${word}`);
  return [
    ...times,
    ...entries.map(({ column, probe, unit }) => `${column.key}=${probe} ${unit}`.trim()),
  ].join('; ');
}

function wordOf(format: FormatGuess): string {
  if (format.kind !== 'local') return timeWord(format);
  return format.order === null ? OPEN : timeWord({ kind: 'local', zone: '', order: format.order });
}

/** A header such as "Temperature (°C)", "air/temperature [°C]", "Temp, °F", "RH %" or "Lux", taken apart. */
function columnOf(header: string, at: number, all: readonly string[]): Column {
  const isPlain = header !== '' && !/[;=]/.test(header) && all.indexOf(header) === all.lastIndexOf(header);
  const key = isPlain ? header : `#${at + 1}`;
  const bracketed = /^(.*?)\s*[[(]([^\])]*)[\])]$/.exec(header);
  if (bracketed) return { at, key, name: bracketed[1] ?? '', spelled: (bracketed[2] ?? '') || 'none' };
  const trailed = /^(.+?)(?:,\s*|\s+|_)(\S+)$/.exec(header);
  const [, name = header, last = ''] = trailed ?? [];
  if (unitCode({ spelled: last, probe: 'air/humidity' })) return { at, key, name, spelled: last };
  return { at, key, name: header, spelled: unitCode({ spelled: header, probe: '' }) ? header : '' };
}

type TimeColumns = { readonly columns: readonly Column[]; readonly format: FormatGuess };

/** In English, German, French, Dutch, Spanish, Italian, Polish and Portuguese; recalled vocabulary. */
const TIME_WORDS =
  /^(date|time|timestamp|utc|datum|zeit|uhrzeit|heure|tijd|fecha|hora|data|ora|czas|godzina|ts|t)\b|date.?time|time.?stamp|zeitpunkt|tijdstip|horodat/i;

/** The column that is the time, or a column of dates and the one of times right after it. */
function timeOf(columns: readonly Column[], { rows }: SampledFile): TimeColumns | null {
  const cells = (column: Column) => rows.map((row) => row[column.at]?.trim() ?? '');
  const formatOf = (samples: readonly string[]) => guessTimeFormat(samples.filter((sample) => sample !== ''));
  const named = columns.filter(({ name }) => TIME_WORDS.test(name));
  for (const column of [...named, ...columns]) {
    const format = formatOf(cells(column));
    if (format && (format.kind !== 'epoch' || named.includes(column))) return { columns: [column], format };
    const next = columns[column.at + 1];
    if (!next || !named.includes(column)) continue;
    const times = cells(next);
    const joined = formatOf(cells(column).map((cell, at) => `${cell} ${times[at]}`));
    if (joined && joined.kind !== 'epoch') return { columns: [column, next], format: joined };
  }
  return null;
}

/**
 * The device whose columns are read in a file of ours, which names device and probe: the one that was asked for, the one
 * that is called as the readings will be, or the only one there is. The columns of others stay out.
 */
function ownerOf(columns: readonly Column[], { device, of = null }: SampledFile): string | null {
  if (of !== null) return of;
  if (columns.some(({ name }) => name.startsWith(`${device}/`))) return device;
  const read = columns.filter(({ name }) => !name.startsWith('corrected '));
  const [first = '', ...others] = new Set(
    read.map(({ name }) => name.slice(0, Math.max(0, name.indexOf('/')))),
  );
  const isNamed = read.some(({ name }) => wellKnown(name.slice(first.length + 1)) && !wellKnown(name));
  return first !== '' && others.length === 0 && isNamed ? first : null;
}

function entriesOf(columns: readonly Column[], file: SampledFile): Entry[] {
  const owner = ownerOf(columns, file);
  const hasOwn = owner !== null;
  const entries: Entry[] = [];
  for (const column of columns) {
    const probe = hasOwn ? ownProbe(column.name, owner) : probeOf(column.name);
    if (probe === null) continue;
    const count = entries.filter(
      (entry) => entry.probe === probe || entry.probe.startsWith(`${probe}/`),
    ).length;
    const name = count > 0 && !hasOwn ? `${probe}/${count + 1}` : probe;
    entries.push({ column, probe: name, unit: unitOf(column, name) });
  }
  return entries;
}

function unitOf({ spelled }: Column, probe: string): string {
  if (spelled === 'none') return unitsOf(probe) === null ? '' : OPEN;
  const code = unitCode({ spelled, probe });
  if (!code) return OPEN;
  const allowed = unitsOf(probe);
  return allowed === null || allowed.includes(code) ? spelled : OPEN;
}

function ownProbe(name: string, device: string): string | null {
  return name.startsWith(`${device}/`) ? name.slice(device.length + 1) : null;
}

/** The probe a header means: by its name where it is one, else by its words; null when it means none. */
function probeOf(name: string): string | null {
  if (wellKnown(name)) return name;
  const rest = name.slice(name.indexOf('/') + 1);
  if (wellKnown(rest)) return rest;
  return quantityFromWords(name);
}

function decimalOf(entries: readonly Entry[], rows: SampledFile['rows']): ImportMapping['decimal'] {
  const cells = rows.flatMap((row) => entries.map(({ column }) => row[column.at]?.trim() ?? ''));
  return cells.some((cell) => !isMissing(cell) && /^[+-]?\d+,\d+$/.test(cell)) ? ',' : '.';
}
