import { SENML_VERSION } from '../../../../firmware-contracts/v1/limits.ts';
import { type DecodedReading, readReading } from '../../ingest/reading.ts';
import { quoted } from '../../ingest/refusal.ts';
import { unitCode } from '../units.ts';
import type { FileItem, FileOrder, FileReader } from './file-reader.ts';
import { createOneDevice } from './one-device.ts';
import { createTimeReader } from './times.ts';

/** Longest line, characters. */
const MAX_LINE_CHARS = 65_536;

type Row = Readonly<Record<string, unknown>>;

/** A row with the line or the number at which it stands. */
type NumberedRow = { readonly row: Row; readonly line: number };

/** Reads readings one by one, each with the names of its values, as NDJSON and files of columns have them. */
export function createReadingRows(order: FileOrder) {
  const ofOne = createOneDevice({ asked: order.of ?? null, own: order.device });
  const timeOf = createTimeReader({ kind: 'rfc3339' }, null);
  const read = ({ row, line }: NumberedRow): FileItem => {
    const reading = readingIn(row, { order, timeOf });
    return typeof reading === 'string'
      ? { line, kind: 'bad', reason: reading }
      : { line, kind: 'readings', readings: [reading], repeated: false };
  };
  return {
    take: (rows: readonly NumberedRow[]): FileItem[] =>
      ofOne.take(
        rows.map((each) => {
          const { device } = each.row;
          const named = typeof device === 'string' ? device : null;
          return { line: each.line, device: named, read: () => read(each) };
        }),
      ),
    end: ofOne.end,
  };
}

type Reading = { readonly order: FileOrder; readonly timeOf: ReturnType<typeof createTimeReader> };

/** @returns the reading, or why it is none */
function readingIn(row: Row, { order, timeOf }: Reading): DecodedReading | string {
  const { probe, value } = row;
  if (typeof probe !== 'string' || typeof value !== 'number') return NO_READING;
  const time = typeof row['time'] === 'number' ? instant(row['time']) : timeOf(String(row['time']));
  if (time.kind !== 'instant') return time.kind === 'bad' ? time.reason : NO_READING;
  const spelled = typeof row['unit'] === 'string' ? row['unit'] : '';
  const code = unitCode({ spelled, probe });
  if (code === null) return `${quoted(spelled)} is no unit known here`;
  const unit = code === '' ? null : code;
  const { tMs } = time;
  const base = { index: 0, sum: null, relative: false, version: SENML_VERSION };
  const reading = readReading(
    { ...base, record: { v: value }, name: probe, unit, value, tMs },
    { device: order.device, arrivedAtMs: order.nowMs, retainedCopy: false, takenFromMs: order.takenFromMs },
  );
  return 'code' in reading ? reading.reason : reading;
}

const NO_READING =
  'it is no reading: that has "time", "device", "probe", "unit" and "value", as an export of readings writes them';

function instant(tMs: number) {
  return { kind: 'instant', tMs, repeated: false } as const;
}

/** Reads NDJSON: one reading a line, as an export writes it. */
export function createNdjsonFile(order: FileOrder): FileReader {
  const rows = createReadingRows(order);
  let rest = '';
  let line = 0;
  const readLine = (text: string): FileItem[] => {
    line++;
    const bare = text.replace(/^\uFEFF/, '').trim();
    if (bare === '') return [];
    if (bare.length > MAX_LINE_CHARS) return [tooLong(line)];
    const row = objectIn(bare);
    return typeof row === 'string' ? [{ line, kind: 'bad', reason: row }] : rows.take([{ row, line }]);
  };
  return {
    push(text) {
      const lines = (rest + text).split('\n');
      rest = lines.pop() ?? '';
      // what is longer than any line may be is not gathered
      if (rest.length > MAX_LINE_CHARS) rest = rest.slice(0, MAX_LINE_CHARS + 1);
      return lines.flatMap(readLine);
    },
    end: () => [...(rest === '' ? [] : readLine(rest)), ...rows.end()],
    plan: () => ({ mapping: null, text: '', undecided: [], notes: [] }),
  };
}

/** @returns the object, or why the line is none */
function objectIn(text: string): Row | string {
  try {
    const row: unknown = JSON.parse(text);
    return typeof row === 'object' && row !== null && !Array.isArray(row) ? (row as Row) : NO_READING;
  } catch {
    return 'it is no JSON; NDJSON has one object a line';
  }
}

function tooLong(line: number): FileItem {
  return { line, kind: 'bad', reason: `the line has more than ${MAX_LINE_CHARS} characters` };
}
