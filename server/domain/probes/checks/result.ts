import type { Line } from '../../../../shared/model/line.ts';
import type { CheckResult, TakenReading } from '../../../../shared/model/probes/check.ts';
import { correctionLimits } from '../../../../shared/model/probes/correction.ts';
import { isTemperature } from '../left-out.ts';

/** Further off than this a sound probe in a sound bath never is: K and %RH. Common practice, no source. */
const PLAUSIBLE_K = 5;
const PLAUSIBLE_PCT = 20;
/** Two salts that a probe reads nearer to each other than this give no line, %RH. Common practice, no source. */
const LEAST_APART_PCT = 10;

/**
 * What a check comes to. A probe that is used within its own accuracy and the uncertainty of the reference is right as
 * far as anybody can tell, and nothing is proposed. Otherwise the line that maps what it reported to what it should have
 * read: a shift from one point, gain and shift from several.
 * @param points what was read and what it should have been, °C or %RH, one or more
 * @param quantity `<position>/<quantity>` of the probe
 * @returns gain to 0.0001, offset to 0.01, in the unit of the probe
 * @throws RangeError without a point
 * @example checkResult([{ ...point, read: 0.8, corrected: 0.8, reference: 0, accuracy: 0.3, uncertainty: 0.1 }], 'air/temperature').proposal // { gain: 1, offset: -0.8 }
 */
export function checkResult(points: readonly TakenReading[], quantity: string): CheckResult {
  if (points.length === 0) throw new RangeError('0 points; expected 1 or more');
  if (points.every(isWithin)) return { verdict: 'within', proposal: null };
  const farthest = isTemperature(quantity) ? PLAUSIBLE_K : PLAUSIBLE_PCT;
  const plausible = points.every(({ read, reference }) => Math.abs(read - reference) <= farthest);
  const line = plausible ? lineThrough(points) : null;
  return line !== null && fits(line, quantity)
    ? { verdict: 'off', proposal: line }
    : { verdict: 'implausible', proposal: null };
}

/** Whether a probe as it is used is as near to the reference as its accuracy and the reference's uncertainty allow. */
function isWithin({ corrected, reference, accuracy, uncertainty }: TakenReading): boolean {
  return Math.abs(corrected - reference) <= accuracy + uncertainty + 1e-9;
}

function fits({ gain, offset }: Line, quantity: string): boolean {
  const limits = correctionLimits(quantity);
  const within = (value: number, [low, high]: readonly [number, number]) => value >= low && value <= high;
  return limits !== null && within(gain, limits.gain) && within(offset, limits.offset);
}

function lineThrough(points: readonly TakenReading[]): Line | null {
  const mean = (of: (point: TakenReading) => number) =>
    points.reduce((sum, point) => sum + of(point), 0) / points.length;
  const [read, reference] = [mean((point) => point.read), mean((point) => point.reference)];
  const along = points.reduce((sum, point) => sum + (point.read - read) ** 2, 0);
  const across = points.reduce((sum, point) => sum + (point.read - read) * (point.reference - reference), 0);
  const reads = points.map((point) => point.read);
  if (points.length > 1 && Math.max(...reads) - Math.min(...reads) < LEAST_APART_PCT) return null;
  const gain = points.length === 1 ? 1 : rounded(across / along, 4);
  return { gain, offset: rounded(reference - gain * read, 2) };
}

function rounded(value: number, decimals: number): number {
  return Number(value.toFixed(decimals));
}
