import { celsiusTyped, type FormValues } from '../../common/form.ts';
import { degreeSign, temperatureText } from '../../common/format.ts';

const BAND_TOPS = ['air.day.highC', 'air.night.highC'] as const;

/**
 * What may be saved but is hardly meant: a ceiling below the top of the air's band calls people while the air is where
 * the sheet wants it.
 * @param values the inputs as typed, temperatures in `unit`
 * @returns a sentence, or null
 */
export function ceilingWarning(values: FormValues, unit: 'C' | 'F'): string | null {
  const typed = (path: string) => celsiusTyped(values[path] ?? '', unit, null);
  const ceilingC = typed('air.ceilingC');
  const tops = BAND_TOPS.map(typed).filter((top): top is number => typeof top === 'number');
  if (typeof ceilingC !== 'number' || tops.length === 0) return null;
  const topC = Math.max(...tops);
  if (ceilingC >= topC) return null;
  const top = `${temperatureText(topC, unit)} ${degreeSign(unit)}`;
  return `The ceiling lies below ${top}, the top of the air’s band: people are called while the air is within its band.`;
}
