import type { Exposures } from '../../shared/wire/http.ts';
import {
  degreeHoursText,
  fixed,
  hoursText,
  type TemperatureUnit,
  temperatureWithUnit,
} from '../common/format.ts';

type ExposureRow = { readonly name: string; readonly cells: readonly string[] };
type Read = (exposures: Exposures, unit: TemperatureUnit) => string | null;

/** What is not known is blank. */
const NONE = '';
const covered = (hours: number, text: () => string | null) => (hours > 0 ? text() : null);
const temperature = (valueC: number | null, unit: TemperatureUnit) =>
  valueC === null ? null : temperatureWithUnit(valueC, unit);

const ROWS: readonly (readonly [string, Read])[] = [
  ['root zone, mean', ({ rootZone }, unit) => temperature(rootZone.meanC, unit)],
  [
    'root zone below band',
    ({ rootZone: { coveredHours, hoursBelow, degreeHoursBelow } }, unit) =>
      covered(coveredHours, () => `${hoursText(hoursBelow)}, ${degreeHoursText(degreeHoursBelow, unit)}`),
  ],
  [
    'root zone above band',
    ({ rootZone: { coveredHours, hoursAbove, degreeHoursAbove } }, unit) =>
      covered(coveredHours, () => `${hoursText(hoursAbove)}, ${degreeHoursText(degreeHoursAbove, unit)}`),
  ],
  ['air, mean', ({ air }, unit) => temperature(air.meanC, unit)],
  ['air, highest', ({ air }, unit) => temperature(air.maxC, unit)],
  [
    'air over ceiling',
    ({ air: { coveredHours, hoursOverCeiling, degreeHoursOverCeiling } }, unit) =>
      covered(
        coveredHours,
        () => `${hoursText(hoursOverCeiling)}, ${degreeHoursText(degreeHoursOverCeiling, unit)}`,
      ),
  ],
  ['VPD of the air, mean', ({ vpd: { meanKpa } }) => (meanKpa === null ? null : `${fixed(meanKpa, 2)} kPa`)],
  [
    'VPD above band (drying)',
    ({ vpd: { coveredHours, hoursAbove } }) => covered(coveredHours, () => hoursText(hoursAbove)),
  ],
  [
    'saturated',
    ({ saturation: { coveredHours, hoursSaturated } }) =>
      covered(coveredHours, () => hoursText(hoursSaturated)),
  ],
  [
    'light sum',
    ({ light: { coveredHours, days } }) =>
      covered(
        coveredHours,
        () =>
          `${fixed(
            days.reduce((sum, { dliMolM2 }) => sum + dliMolM2, 0),
            1,
          )} mol/m²`,
      ),
  ],
  ['air on record', ({ air }) => hoursText(air.coveredHours)],
];

/** What was counted over each of several spans, row by row; a row of which nothing is known is left out. */
export function exposureRows(columns: readonly Exposures[], unit: TemperatureUnit): ExposureRow[] {
  return ROWS.map(([name, read]) => ({
    name,
    cells: columns.map((exposures) => read(exposures, unit) ?? NONE),
  })).filter(({ cells }) => cells.some((cell) => cell !== NONE));
}
