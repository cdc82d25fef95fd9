import { useMemo } from 'preact/hooks';
import type { TracePoint } from '../bench/trace.ts';
import { temperatureText, vpdText } from '../common/format.ts';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { momentWords } from '../common/time.ts';
import { reader, unit } from '../state.ts';
import type { Noted } from './noted/noted.ts';
import type { RecordData } from './record.ts';

const MOST_ROWS = 100;

type Row = { readonly tMs: number; readonly cells: readonly (TracePoint | null)[] };

function rowsOf(data: RecordData): Row[] {
  const traces = [data.air, data.vpd, data.rootZone].map(
    (trace) => new Map(trace.map((point) => [point.tMs, point])),
  );
  const times = [...new Set(traces.flatMap((trace) => [...trace.keys()]))].sort((a, b) => a - b);
  const step = Math.ceil(times.length / MOST_ROWS);
  // a gap is one point, and must not be thinned away
  const isGap = (tMs: number) => traces.some((trace) => trace.get(tMs)?.value === null);
  return times
    .filter((tMs, i) => i % step === 0 || isGap(tMs))
    .map((tMs) => ({ tMs, cells: traces.map((trace) => trace.get(tMs) ?? null) }));
}

function cellText(point: TracePoint | null, text: (value: number) => string): string {
  if (point === null || point.value === null) return 'gap';
  return `${text(point.value)}${point.suspect ? ' suspect' : ''}`;
}

/** What happened has rows of its own, among those of the readings. */
function withNoted(data: RecordData, noted: readonly Noted[]): (Row | Noted)[] {
  const timeOf = (row: Row | Noted) => ('tMs' in row ? row.tMs : row.atMs);
  return [...rowsOf(data), ...noted].sort((a, b) => timeOf(a) - timeOf(b));
}

function NotedRow({ noted: { atMs, words } }: { noted: Noted }) {
  return (
    <tr>
      <th scope="row">{momentWords({ atMs, ...reader.value })}</th>
      <td colSpan={3}>{words}</td>
    </tr>
  );
}

type TableProps = { readonly data: RecordData; readonly noted: readonly Noted[] };

function Rows({ data, noted }: TableProps) {
  const degrees = (value: number) => temperatureText(value, unit.value);
  const texts = [degrees, vpdText, degrees];
  return (
    <Scrolling name="The record as a table">
      <table>
        <thead>
          <tr>
            <th scope="col">time</th>
            <th scope="col">air, °{unit.value}</th>
            <th scope="col">air VPD, kPa</th>
            <th scope="col">root zone, °{unit.value}</th>
          </tr>
        </thead>
        <tbody>
          {withNoted(data, noted).map((row) =>
            'tMs' in row ? (
              <tr key={row.tMs}>
                <th scope="row">{momentWords({ atMs: row.tMs, ...reader.value })}</th>
                {row.cells.map((cell, i) => (
                  <td key={i}>{cellText(cell, texts[i] ?? vpdText)}</td>
                ))}
              </tr>
            ) : (
              <NotedRow key={`noted ${row.atMs} ${row.words}`} noted={row} />
            ),
          )}
        </tbody>
      </table>
    </Scrolling>
  );
}

/** The same rows with tabs between their columns, as a spreadsheet takes them; times in RFC 3339. */
export function tableText(data: RecordData): string {
  const degrees = (value: number) => temperatureText(value, unit.value);
  const texts = [degrees, vpdText, degrees];
  const head = ['time', `air, °${unit.value}`, 'air VPD, kPa', `root zone, °${unit.value}`];
  const rows = rowsOf(data).map(({ tMs, cells }) => [
    new Date(tMs).toISOString(),
    ...cells.map((cell, i) => (cell?.value == null ? '' : (texts[i] ?? vpdText)(cell.value))),
  ]);
  return [head, ...rows].map((row) => row.join('\t')).join('\n');
}

/** The table twin of the chart; the same data is not drawn again while a pointer moves over the chart. */
export function RecordTable({ data, noted }: TableProps) {
  const rows = useMemo(() => <Rows data={data} noted={noted} />, [data, noted]);
  return (
    <details>
      <summary>The record as a table</summary>
      {rows}
    </details>
  );
}
