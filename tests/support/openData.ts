import { readFileSync } from 'node:fs';

/** One row of the open record of a room, in our units. */
export type OpenDataRow = {
  readonly row: number;
  readonly atMs: number;
  readonly airTemperatureC: number;
  readonly relativeHumidityPct: number;
  readonly illuminanceLx: number;
  /** as the publisher computed it */
  readonly humidityRatioKgKg: number;
};

const HEADER = '"date","Temperature","Humidity","Light","CO2","HumidityRatio","Occupancy"';
const file = new URL('../open-data/occupancy-three-days.csv', import.meta.url);

/**
 * The record of three days, 4,321 rows. Its local times carry no zone; they are read as UTC, which moves all of them alike.
 *
 * @returns the rows in the order of the file
 */
export function readOpenData(): OpenDataRow[] {
  return parseOpenData(readFileSync(file, 'utf8'));
}

/**
 * Reads the publisher's file: a header that does not name the row number, then the rows.
 *
 * @param text the whole file
 * @returns the rows
 * @throws Error for another header or a line that is not a row
 */
export function parseOpenData(text: string): OpenDataRow[] {
  const [header, ...lines] = text.trim().split(/\r?\n/);
  if (header !== HEADER) throw new Error(`not the expected columns: ${header}`);
  return lines.map(parseRow);
}

function parseRow(line: string): OpenDataRow {
  const cells = line.split(',').map((cell) => cell.replaceAll('"', ''));
  const numberAt = (index: number): number => {
    const cell = cells[index];
    const value = Number(cell);
    if (cell === undefined || cell === '' || !Number.isFinite(value)) throw new Error(`not a row: ${line}`);
    return value;
  };
  const atMs = Date.parse(`${(cells[1] ?? '').replace(' ', 'T')}Z`);
  if (!Number.isFinite(atMs)) throw new Error(`not a time: ${line}`);
  return {
    row: numberAt(0),
    atMs,
    airTemperatureC: numberAt(2),
    relativeHumidityPct: numberAt(3),
    illuminanceLx: numberAt(4),
    humidityRatioKgKg: numberAt(6),
  };
}
