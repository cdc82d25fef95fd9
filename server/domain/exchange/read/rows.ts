import { DEVICE_NAME } from '../../../../firmware-contracts/v1/limits.ts';
import { invariant } from '../../../../shared/faults.ts';
import type { RepeatedHour } from '../../../../shared/model/import-mapping.ts';
import { type DecodedReading, readReading } from '../../ingest/reading.ts';
import { quoted } from '../../ingest/refusal.ts';
import { isMissing, readNumber } from '../numbers.ts';
import type { ResolvedColumn, ResolvedMapping } from './mapping.ts';
import { createTimeReader } from './times.ts';

/** What one row holds: readings, or the reason why nothing of it may be stored. */
export type ReadRow =
  | { readonly kind: 'readings'; readonly readings: readonly DecodedReading[]; readonly repeated: boolean }
  | { readonly kind: 'asks' }
  | { readonly kind: 'bad'; readonly reason: string };

type RowOrder = {
  readonly mapping: ResolvedMapping;
  /** how many cells a row has */
  readonly width: number;
  readonly device: string;
  readonly repeatedHour: RepeatedHour | null;
  /** ms since epoch, what lies more than 5 minutes after is refused */
  readonly nowMs: number;
  /** ms since epoch, what is older is refused */
  readonly takenFromMs?: number | undefined;
};

/**
 * Reads rows of cells, in the order of the file, as readings in canonical units by the rules for packs.
 * One bad cell makes its row bad; a missing cell is no reading.
 */
export function createRowReader(order: RowOrder): (cells: readonly string[]) => ReadRow {
  const { mapping, width, device } = order;
  invariant(DEVICE_NAME.test(device), `${device} can be no device`);
  const readTime = createTimeReader(mapping.format, order.repeatedHour);
  return (cells) => {
    if (cells.length !== width)
      return { kind: 'bad', reason: `the row has ${cells.length} cells; the header has ${width}` };
    const time = readTime(mapping.timeAt.map((at) => cells[at]?.trim() ?? '').join(' '));
    if (time.kind !== 'instant') return time;
    const readings: DecodedReading[] = [];
    for (const column of mapping.columns) {
      const cell = cells[column.at]?.trim() ?? '';
      if (isMissing(cell)) continue;
      const reading = readCell({ cell, column, tMs: time.tMs }, order);
      if ('reason' in reading) return { kind: 'bad', reason: `${column.column}: ${reading.reason}` };
      readings.push(reading);
    }
    return { kind: 'readings', readings, repeated: time.repeated };
  };
}

type Cell = { readonly cell: string; readonly column: ResolvedColumn; readonly tMs: number };

function readCell(
  { cell, column, tMs }: Cell,
  order: RowOrder,
): DecodedReading | { readonly reason: string } {
  const { decimal } = order.mapping;
  const value = readNumber(cell, decimal);
  if (value === null)
    return { reason: `${quoted(cell)} is no number with a decimal ${decimal === ',' ? 'comma' : 'point'}` };
  const { probe: name, unit } = column;
  return readReading(
    { index: 0, record: { v: value }, name, unit, value, sum: null, tMs, relative: false, version: 10 },
    {
      device: order.device,
      arrivedAtMs: order.nowMs,
      retainedCopy: false,
      takenFromMs: order.takenFromMs,
    },
  );
}
