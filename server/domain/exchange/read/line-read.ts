import { readReading } from '../../ingest/reading.ts';
import { quoted } from '../../ingest/refusal.ts';
import { unitCode } from '../units.ts';
import type { FileItem, FileOrder, FileReader } from './file-reader.ts';
import { createOneDevice } from './one-device.ts';
import { createTimeReader } from './times.ts';

/** Longest line, characters. */
const MAX_LINE_CHARS = 65_536;

type Row = Readonly<Record<string, unknown>>;

/** Reads readings one by one, each with the names of its values, as NDJSON and files of columns have them. */
export function createReadingRows(order: FileOrder): (row: Row, line: number) => FileItem[] {
  const whose = createOneDevice(order.of ?? null);
  const timeOf = createTimeReader({ kind: 'rfc3339' }, null);
  const bad = (line: number, reason: string): FileItem[] => [{ line, kind: 'bad', reason }];
  return (row, line) => {
    const { device = order.device, probe, value } = row;
    if (typeof device !== 'string' || typeof probe !== 'string' || typeof value !== 'number')
      return bad(line, NO_READING);
    const mine = whose(device);
    if (mine === 'passed-over') return [];
    if (mine !== 'taken') return bad(line, mine.reason);
    const time = typeof row['time'] === 'number' ? instant(row['time']) : timeOf(String(row['time']));
    if (time.kind !== 'instant') return bad(line, time.kind === 'bad' ? time.reason : NO_READING);
    const spelled = typeof row['unit'] === 'string' ? row['unit'] : '';
    const unit = unitCode({ spelled, probe });
    if (unit === null) return bad(line, `${quoted(spelled)} is no unit known here`);
    const { tMs } = time;
    const reading = readReading(
      {
        index: 0,
        record: { v: value },
        name: probe,
        unit: unit === '' ? null : unit,
        value,
        sum: null,
        tMs,
        relative: false,
        version: 10,
      },
      {
        device: order.device,
        arrivedAtMs: order.nowMs,
        retainedCopy: false,
        takenFromMs: order.takenFromMs,
      },
    );
    if ('code' in reading) return bad(line, reading.reason);
    return [{ line, kind: 'readings', readings: [reading], repeated: false }];
  };
}

const NO_READING =
  'it is no reading: that has "time", "device", "probe", "unit" and "value", as an export of readings writes them';

function instant(tMs: number) {
  return { kind: 'instant', tMs, repeated: false } as const;
}

/** Reads NDJSON: one reading a line, as an export writes it. */
export function createNdjsonFile(order: FileOrder): FileReader {
  const read = createReadingRows(order);
  let rest = '';
  let line = 0;
  const readLine = (text: string): FileItem[] => {
    line++;
    const bare = text.replace(/^\uFEFF/, '').trim();
    if (bare === '') return [];
    if (bare.length > MAX_LINE_CHARS) return [tooLong(line)];
    try {
      const row: unknown = JSON.parse(bare);
      if (typeof row === 'object' && row !== null && !Array.isArray(row)) return read(row as Row, line);
      return [{ line, kind: 'bad', reason: NO_READING }];
    } catch {
      return [{ line, kind: 'bad', reason: 'it is no JSON; NDJSON has one object a line' }];
    }
  };
  return {
    push(text) {
      const lines = (rest + text).split('\n');
      rest = lines.pop() ?? '';
      // what is longer than any line may be is not gathered
      if (rest.length > MAX_LINE_CHARS) rest = rest.slice(0, MAX_LINE_CHARS + 1);
      return lines.flatMap(readLine);
    },
    end: () => (rest === '' ? [] : readLine(rest)),
    plan: () => ({ mapping: null, text: '', undecided: [], notes: [] }),
  };
}

function tooLong(line: number): FileItem {
  return { line, kind: 'bad', reason: `the line has more than ${MAX_LINE_CHARS} characters` };
}
