import type { Probe } from '../../../../shared/model/probes/probe.ts';
import { momentsOf, shownUnit, type Track } from '../read/tracks.ts';
import { csvLine } from './csv-write.ts';
import { senmlPacks } from './senml-write.ts';

/** Writes readings slice by slice: `head` first, then `body` for one slice of time after the other. */
type ReadingsWriter = {
  /** @param corrected those that are corrected somewhere in the span */
  head(probes: readonly Probe[], corrected?: ReadonlySet<number>): string;
  body(tracks: readonly Track[]): string;
};

/**
 * CSV in the wide form: a row a time, a column a probe, headed `device/probe [unit]`. The wide form has the unit in the
 * header, is a third of the long one's size, opens in a spreadsheet as one curve a column, and is what other loggers
 * write, so that one mapping reads both. The value is the one that was sent; a probe that is corrected has a second
 * column, headed `corrected device/probe [unit]`, which no import takes. NDJSON is the long form. Every probe must have a track, in the order of the head.
 */
export const CSV_READINGS: ReadingsWriter = {
  head: (probes, corrected = new Set()) =>
    csvLine([
      'time',
      ...probes.map(columnOf),
      ...probes.filter(({ id }) => corrected.has(id)).map((probe) => `corrected ${columnOf(probe)}`),
    ]),
  body(tracks) {
    let text = '';
    for (const { tMs, values, corrected } of momentsOf(tracks)) {
      const used = corrected.filter((_, i) => tracks[i]?.corrected);
      text += csvLine([new Date(tMs).toISOString(), ...values, ...used]);
    }
    return text;
  },
};

/** One reading in the long form; `corrected` is there where its probe is corrected in the span. */
type LongRow = {
  readonly timeMs: number;
  readonly device: string;
  readonly probe: string;
  readonly quantity: string | null;
  readonly unit: string;
  readonly value: number;
  readonly corrected?: number | null;
};

/** Readings one by one in the order of time, as NDJSON and files of columns hold them. */
export function readingRows(tracks: readonly Track[]): LongRow[] {
  const rows: LongRow[] = [];
  for (const { tMs, values, corrected } of momentsOf(tracks)) {
    for (const [i, value] of values.entries()) {
      const probe = tracks[i]?.probe;
      if (value === null || !probe) continue;
      const { device, name, quantity } = probe;
      const row = { timeMs: tMs, device, probe: name, quantity, unit: shownUnit(probe), value };
      rows.push(tracks[i]?.corrected ? { ...row, corrected: corrected[i] ?? null } : row);
    }
  }
  return rows;
}

/** NDJSON in the long form: one reading a line, in the order of time. */
export const NDJSON_READINGS: ReadingsWriter = {
  head: () => '',
  body: (tracks) =>
    readingRows(tracks)
      .map(({ timeMs, ...row }) => `${JSON.stringify({ time: new Date(timeMs).toISOString(), ...row })}\n`)
      .join(''),
};

/** SenML, one pack a line: each line may be published on its device's readings topic as it is, so values are as reported. */
export const SENML_READINGS: ReadingsWriter = {
  head: () => '',
  body: (tracks) =>
    senmlPacks(tracks)
      .map(({ json }) => `${json}\n`)
      .join(''),
};

function columnOf(probe: Probe): string {
  return `${probe.device}/${probe.name} [${shownUnit(probe)}]`;
}
