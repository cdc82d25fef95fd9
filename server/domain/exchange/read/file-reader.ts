import { DEVICE_NAME } from '../../../../firmware-contracts/v1/limits.ts';
import { readingsTopic } from '../../../../firmware-contracts/v1/topics.ts';
import type { ImportMapping, RepeatedHour } from '../../../../shared/model/import-mapping.ts';
import { decodePack } from '../../ingest/decode.ts';
import { wellKnown } from '../../ingest/quantity.ts';
import { unguarded } from '../write/csv-write.ts';
import { type CsvFault, type CsvRow, createCsvReader } from './csv-read.ts';
import { mappingText, parseMapping, resolveMapping } from './mapping.ts';
import { createOneDevice } from './one-device.ts';
import { proposeMapping } from './propose.ts';
import { createRowReader, type ReadRow } from './rows.ts';
import { createSenmlSplitter } from './senml-read.ts';

/** How a file is to be read. */
export type FileOrder = {
  /** under which the readings are kept */
  readonly device: string;
  /** the device of the file that is meant, where it holds several; null or left out: the only one */
  readonly of?: string | null;
  /** as text, as an object, or null: proposed from the file */
  readonly mapping: string | ImportMapping | null;
  /** IANA time zone of times without offset, when it was stated */
  readonly zone: string | null;
  readonly repeatedHour: RepeatedHour | null;
  /** ms since epoch */
  readonly nowMs: number;
  /** ms since epoch, before which readings are not kept any more */
  readonly takenFromMs?: number | undefined;
};

/** What a row of CSV, or a pack of SenML, turned out to be. */
export type FileItem = { readonly line: number } & ReadRow;

/** What the columns are taken for, and what is still to be decided before any row can be read. */
type FilePlan = {
  readonly mapping: ImportMapping | null;
  readonly text: string;
  readonly undecided: readonly string[];
  readonly notes: readonly string[];
};

export type FileReader = {
  push(text: string): FileItem[];
  end(): FileItem[];
  /** null until enough of the file was read; while something is undecided no row is given */
  plan(): FilePlan | null;
};

const MOST_BEGUN = 20;
const JSON_SAID =
  'the file is JSON, not CSV: give --as ndjson where each line is a reading, --as senml for packs';

/** Rows that are checked before the columns are settled. */
export const SAMPLE_ROWS = 50;

/** Reads a CSV file of readings: settles its columns by the first rows, then gives row after row. */
export function createCsvFile(order: FileOrder): FileReader {
  const csv = createCsvReader();
  let sampled: (CsvRow | CsvFault)[] | null = [];
  let plan: FilePlan | null = null;
  let readRow: ((cells: readonly string[]) => ReadRow) | null = null;

  const read = (item: CsvRow | CsvFault): FileItem => {
    if ('fault' in item) return { line: item.line, kind: 'bad', reason: item.fault };
    return { line: item.line, ...(readRow?.(item.cells) ?? { kind: 'bad', reason: 'nothing is settled' }) };
  };
  const settle = (items: readonly (CsvRow | CsvFault)[]): FileItem[] => {
    sampled = null;
    const settled = settleColumns(items, order);
    plan = settled.plan;
    readRow = settled.readRow;
    return readRow === null ? [] : settled.rows.map(read);
  };
  const take = (items: readonly (CsvRow | CsvFault)[], isLast: boolean): FileItem[] => {
    if (sampled === null) return readRow === null ? [] : items.map(read);
    sampled.push(...items);
    return isLast || sampled.length > SAMPLE_ROWS ? settle(sampled) : [];
  };
  let begun = '';
  /** The first characters tell: no header begins as JSON does. */
  const isJson = (text: string): boolean => {
    if (begun.length < MOST_BEGUN) begun = (begun + text).trimStart().slice(0, MOST_BEGUN);
    return /^\uFEFF?(?:\{|\[\s*\{)/.test(begun);
  };
  return {
    push(text) {
      if (!isJson(text)) return take(csv.push(text), false);
      plan = undecided('', [JSON_SAID]).plan;
      return [];
    },
    end: () => (isJson('') ? [] : take(csv.end(), true)),
    plan: () => plan,
  };
}

type Settled = {
  readonly plan: FilePlan;
  readonly readRow: ((cells: readonly string[]) => ReadRow) | null;
  readonly rows: readonly (CsvRow | CsvFault)[];
};

function settleColumns(items: readonly (CsvRow | CsvFault)[], order: FileOrder): Settled {
  const at = items.findIndex((item) => 'cells' in item);
  const [first, rows] = [items[at], items.slice(at + 1)];
  if (!first || !('cells' in first)) return { ...undecided('', ['the file has no row']), rows: [] };
  const samples = rows.flatMap((row) => ('cells' in row ? [row.cells.map((cell) => cell.trim())] : []));
  const { header, notes } = wholeHeader(first.cells, samples[0]);
  const proposal = proposeMapping({
    header,
    rows: samples,
    device: order.device,
    of: order.of ?? null,
    zone: order.zone,
  });
  const decimal = samples.flat().some((cell) => /^[+-]?\d+,\d+$/.test(cell)) ? ',' : '.';
  const given =
    typeof order.mapping === 'string'
      ? parseMapping(order.mapping, { zone: order.zone, decimal })
      : order.mapping;
  if (given && 'fault' in given) return { ...undecided(proposal.text, [given.fault]), rows };
  const mapping = given ?? proposal.mapping;
  if (mapping === null) return { ...undecided(proposal.text, proposal.undecided), rows };
  const resolved = resolveMapping(mapping, { header, device: order.device });
  if ('faults' in resolved) return { ...undecided(proposal.text, resolved.faults), rows };
  const { device, repeatedHour, nowMs, takenFromMs } = order;
  const width = header.length;
  const readRow = createRowReader({ mapping: resolved, width, device, repeatedHour, nowMs, takenFromMs });
  const leftOut = given ? [] : proposal.notes;
  return {
    plan: { mapping, text: mappingText(mapping), undecided: [], notes: [...notes, ...leftOut] },
    readRow,
    rows,
  };
}

function undecided(text: string, what: readonly string[]): Pick<Settled, 'plan' | 'readRow'> {
  return { plan: { mapping: null, text, undecided: what, notes: [] }, readRow: null };
}

/** Some tables have one cell more in their rows than names in the header: row numbers in front, or a delimiter behind. */
function wholeHeader(cells: readonly string[], sample: readonly string[] | undefined) {
  const header = cells.map((cell) => unguarded(cell.trim()));
  if (sample?.length !== header.length + 1) return { header, notes: [] };
  if (sample.at(-1) === '') return { header: [...header, ''], notes: ['rows end in a delimiter'] };
  return {
    header: ['', ...header],
    notes: ['rows have one cell more than the header; the first is taken for a row number'],
  };
}

/**
 * Reads a file of SenML packs, in one array or many, by the rules for packs of devices; a pack that names its device is
 * read as of that device, and kept under the name of the order.
 */
export function createSenmlFile({ device, of = null, nowMs, takenFromMs }: FileOrder): FileReader {
  const splitter = createSenmlSplitter();
  const encoder = new TextEncoder();
  const ofOne = createOneDevice({ asked: of, own: device });
  const read = ({ line, json }: { line: number; json: string }, named: string): FileItem => {
    // a file has no arrival that its times could count from, like a message that a broker kept
    const arrival = { arrivedAtMs: nowMs, retainedCopy: true, takenFromMs };
    const payload = encoder.encode(json);
    const decoded = decodePack({ topic: readingsTopic(named), payload, ...arrival });
    if (!decoded.ok) return { line, kind: 'bad', reason: reasonOf(decoded.refusal) };
    const readings = decoded.readings.map((reading) => ({ ...reading, device }));
    return { line, kind: 'readings', readings, repeated: false };
  };
  const take = (items: ReturnType<typeof splitter.push>): FileItem[] =>
    ofOne.take(
      items.map((item) => {
        const { line } = item;
        if ('fault' in item)
          return { line, device: undefined, read: () => ({ line, kind: 'bad', reason: item.fault }) };
        const named = deviceIn(item.json);
        return { line, device: named, read: () => read(item, named ?? device) };
      }),
    );
  return {
    push: (text) => take(splitter.push(text)),
    end: () => [...take(splitter.end()), ...ofOne.end()],
    plan: () => ({ mapping: null, text: '', undecided: [], notes: [] }),
  };
}

/** The device that a pack names in its base name or before a well-known probe; null when it names none. */
function deviceIn(json: string): string | null {
  let base = '';
  for (const record of recordsIn(json)) {
    base = typeof record['bn'] === 'string' ? record['bn'] : base;
    const name = `${base}${typeof record['n'] === 'string' ? record['n'] : ''}`;
    const cut = base.endsWith('/') ? base.length - 1 : name.indexOf('/');
    const [device, probe] = [name.slice(0, cut), name.slice(cut + 1)];
    const isNamed = base.endsWith('/') ? wellKnown(name) === null : wellKnown(probe) !== null;
    if (cut > 0 && DEVICE_NAME.test(device) && isNamed) return device;
  }
  return null;
}

/** What is no pack is refused where it is decoded. */
function recordsIn(json: string): readonly Readonly<Record<string, unknown>>[] {
  try {
    const records: unknown = JSON.parse(json);
    return Array.isArray(records) ? records.filter((each) => typeof each === 'object' && each !== null) : [];
  } catch {
    return [];
  }
}

function reasonOf({ code, reason }: { code: string; reason: string }): string {
  if (code !== 'retained-without-time') return `${code}: ${reason}`;
  return 'bad-time: a time counts from arrival, which a file does not have; give absolute times';
}
