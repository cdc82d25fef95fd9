import type { CompareDays, MeanDifference } from '../../shared/wire/cuttings/batches.ts';
import {
  degreeHoursText,
  degreeSign,
  differenceText,
  fixed,
  type TemperatureUnit,
  temperatureWithUnit,
} from '../common/format.ts';

type Day = CompareDays['days'][number]['values'][number];
export type DayQuantity = keyof Day;

/** What is compared day by day, in the order in which it is offered. */
export const DAY_QUANTITIES: Readonly<
  Record<
    DayQuantity,
    { readonly name: string; readonly read: (value: number, unit: TemperatureUnit) => string }
  >
> = {
  rootZoneMeanC: { name: 'root zone, mean', read: temperatureWithUnit },
  airMeanC: { name: 'air, mean', read: temperatureWithUnit },
  airMaxC: { name: 'air, highest', read: temperatureWithUnit },
  vpdMeanKpa: { name: 'VPD of the air, mean', read: (value) => `${fixed(value, 2)} kPa` },
  hoursSaturated: { name: 'saturated', read: (value) => `${fixed(value, 1)} h` },
  molM2: { name: 'light', read: (value) => `${fixed(value, 1)} mol m⁻²` },
  thermalDegreeHours: { name: 'thermal time', read: degreeHoursText },
  harm: { name: 'harm', read: (value) => fixed(value, 2) },
};

/** One row a day since sticking, a cell a batch; blank where nothing was read. */
export function dayRows(
  { days }: CompareDays,
  quantity: DayQuantity,
  unit: TemperatureUnit,
): { readonly day: number; readonly cells: readonly string[] }[] {
  const { read } = DAY_QUANTITIES[quantity];
  return days.map(({ day, values }) => ({
    day,
    cells: values.map((value) => {
      const of = value[quantity];
      return of === null ? '' : read(of, unit);
    }),
  }));
}

const NAMES: Readonly<Record<MeanDifference['quantity'], string>> = {
  airTemperatureC: 'air',
  rootZoneTemperatureC: 'root zone',
};

/**
 * By how much two differ in a mean temperature. A warmer one is named only where that is more than the sensors of both may
 * be off by together.
 */
export function meanDifferenceWords(
  { quantity, difference, sensorErrorK, toldApart }: MeanDifference,
  [first, second]: readonly [string, string],
  unit: TemperatureUnit,
): string | null {
  if (difference === null) return null;
  const by = `${differenceText(difference, unit)}\u00a0${degreeSign(unit)}`;
  const error = `${differenceText(sensorErrorK, unit)}\u00a0${degreeSign(unit)}`;
  const name = NAMES[quantity];
  if (!toldApart)
    return `The ${name} of both is not told apart: ${by} between the means, and the sensors may be off by ${error} together.`;
  const [warmer, cooler] = difference > 0 ? [first, second] : [second, first];
  return `The ${name} of ${warmer} was ${by} warmer in the mean than that of ${cooler}; the sensors may be off by ${error} together.`;
}
