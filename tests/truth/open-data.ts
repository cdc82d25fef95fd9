import { readFileSync } from 'node:fs';
import { humidityRatioKgKg, vapourPressureKpa } from '../../shared/climate/humidity.ts';
import { STANDARD_PRESSURE_KPA } from '../../shared/climate/pressure.ts';
import type { ReportLine } from './line.ts';

const COLUMNS = '"date","Temperature","Humidity","Light","CO2","HumidityRatio","Occupancy"';

/** Worst relative difference between the publisher's humidity ratio and ours over three days of a real room. */
export function comparedWithOpenData(): ReportLine {
  const file = new URL('../open-data/occupancy-three-days.csv', import.meta.url);
  const [head, ...lines] = readFileSync(file, 'utf8').trimEnd().split('\n');
  if (head !== COLUMNS) throw new Error(`unexpected columns: ${head}`);
  const errors = lines.map((line) => {
    const [, , temperature, humidity, , , published] = line.split(',').map(Number);
    if (temperature === undefined || humidity === undefined || published === undefined)
      throw new Error(`short row: ${line}`);
    const vapourKpa = vapourPressureKpa({ airTemperatureC: temperature, relativeHumidityPct: humidity });
    const ours = humidityRatioKgKg({ vapourPressureKpa: vapourKpa, pressureKpa: STANDARD_PRESSURE_KPA });
    return Math.abs(ours - published) / published;
  });
  return {
    kind: 'record',
    quantity: 'humidity ratio of a recorded room',
    rows: errors.length,
    read: errors.length,
    recalled: 0,
    worst: errors.reduce((worst, error) => Math.max(worst, error)),
    tolerance: 5e-5,
    unit: 'relative',
    source: 'Candanedo & Feldheim (2016), UCI "Occupancy Detection"',
  };
}
