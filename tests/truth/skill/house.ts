import { readFileSync } from 'node:fs';
import { curveOf } from '../../../server/domain/exposures/curves.ts';
import { type History, STEP_MS, STEPS_A_DAY, stepsOf } from '../../../server/domain/forecast/history.ts';
import { probeRecord } from '../../../shared/exposure/series.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';

/** The rooms of the open record, with the number of their columns. */
export const ROOMS = {
  kitchen: 1,
  'living room': 2,
  laundry: 3,
  'north wall': 6,
  "parents' room": 9,
} as const;
export type Room = keyof typeof ROOMS;

const file = new URL('../../open-data/house-ten-minutes.csv', import.meta.url);
const DAY_MS = STEPS_A_DAY * STEP_MS;

/** The open record as columns by name; times carry no zone and are read as UTC, which moves all of them alike. */
function columns(): { readonly timesMs: number[]; readonly byName: ReadonlyMap<string, number[]> } {
  const [head = '', ...lines] = readFileSync(file, 'utf8').trim().split('\n');
  const rows = lines.map((line) => line.split(','));
  const names = head.split(',').slice(1);
  return {
    timesMs: rows.map(([date = '']) => Date.parse(`${date.replace(' ', 'T')}:00Z`)),
    byName: new Map(names.map((name, n) => [name, rows.map((row) => Number(row[n + 1]))])),
  };
}

/** A room as the product reads it: its air, the humidity there, and the weather station as its outside. */
export function historyOf(room: Room, days: { readonly from: number; readonly to: number }): History {
  const { timesMs, byName } = columns();
  const recordOf = (name: string) => [probeRecord({ timesMs, values: byName.get(name) ?? [] })];
  const number = ROOMS[room];
  const records = {
    'air/temperature': recordOf(`T${number}`),
    'air/humidity': recordOf(`RH_${number}`),
    'outside/temperature': recordOf('T_out'),
  };
  const startMs = (timesMs[0] ?? 0) + days.from * DAY_MS;
  const grid = { startMs, count: (days.to - days.from) * STEPS_A_DAY };
  const stepped = (quantity: Parameters<typeof curveOf>[0]) =>
    stepsOf(curveOf(quantity, { records, settings: SETTINGS }).segments, grid);
  return {
    startMs,
    values: stepped('airTemperatureC'),
    drivers: [
      { isTemperature: true, values: stepped('outsideTemperatureC') },
      { isTemperature: false, values: stepped('relativeHumidityPct') },
    ],
  };
}

/** What curves of what is measured go by. */
const SETTINGS = { maxGapMs: 900_000 } as PlaceSettings;
