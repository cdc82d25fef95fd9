import type { ProbeRecord } from '../../../shared/exposure/series.ts';
import type { Line } from '../../../shared/model/line.ts';
import type { Correction } from '../../../shared/model/probes/correction.ts';
import { PROBE_QUANTITIES, type ProbeQuantityName } from '../../../shared/quantities.ts';
import type { Minutes } from '../seal/minutes.ts';
import type { BlockSummary } from '../seal/summary.ts';
import { type Away, isAwayAt } from './checks/away.ts';
import { isNoMeasurementAlone, isTemperature, mayHoldLeftOut } from './left-out.ts';

/** Corrections hold from whole minutes, so that a minute that is kept in place of its readings has one of them. */
export const CORRECTION_STEP_MS = 60_000;

/** A line and from when on it holds, until the next one's time; ms since epoch. */
type CorrectionPiece = Line & { readonly fromMs: number };

/** How what one probe reports is used. */
export type CorrectionRule = {
  /** ascending */
  readonly pieces: readonly CorrectionPiece[];
  /** when it was in a bath or jar: what it reported then is not used */
  readonly away: readonly Away[];
  readonly quantity: string | null;
};

type At = { readonly tMs: number; readonly value: number };

/**
 * The corrections of a probe that hold over time: one entered later replaces all that held from its own time on, and
 * those that were withdrawn are as if they had never been entered.
 * @param entries of one probe, in the order in which they were entered; times ms since epoch
 * @returns ascending by `fromMs`; empty where nothing is corrected
 * @example correctionsInForce([]) // []
 */
export function correctionsInForce(
  entries: readonly Pick<Correction, 'fromMs' | 'gain' | 'offset' | 'withdrawnMs'>[],
): CorrectionPiece[] {
  const inForce: CorrectionPiece[] = [];
  for (const { fromMs, gain, offset, withdrawnMs } of entries) {
    if (withdrawnMs !== null) continue;
    while ((inForce.at(-1)?.fromMs ?? Number.NEGATIVE_INFINITY) >= fromMs) inForce.pop();
    inForce.push({ fromMs, gain, offset });
  }
  return inForce;
}

/** The line that holds at a time, ms since epoch; null before the first. */
export function lineAt(pieces: readonly CorrectionPiece[], tMs: number): CorrectionPiece | null {
  return pieces.findLast(({ fromMs }) => fromMs <= tMs) ?? null;
}

/**
 * What a reading is taken for: the line that holds at its time, kept within what the quantity can be. A value that is
 * no measurement whatever stands beside it stays as it is, so that it is still known for that.
 * @param reading ms since epoch, in the unit of the probe
 * @param rule corrections of its probe
 * @returns in the unit of the probe
 * @example correctedValue({ tMs: 60_000, value: 21 }, { pieces: [{ fromMs: 0, gain: 1, offset: 0.5 }], away: [], quantity: 'air/temperature' }) // 21.5
 */
export function correctedValue(
  { tMs, value }: At,
  { pieces, quantity }: Pick<CorrectionRule, 'pieces' | 'quantity'>,
): number {
  const line = lineAt(pieces, tMs);
  return line === null ? value : onLine(value, line, quantity);
}

function onLine(value: number, { gain, offset }: Line, quantity: string | null): number {
  if (isTemperature(quantity) && isNoMeasurementAlone(value)) return value;
  const { low, high } = rangeOf(quantity);
  return Math.min(Math.max(gain * value + offset, low), high);
}

function rangeOf(quantity: string | null): { low: number; high: number } {
  const known = quantity !== null && Object.hasOwn(PROBE_QUANTITIES, quantity);
  return known
    ? PROBE_QUANTITIES[quantity as ProbeQuantityName]
    : { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY };
}

/** The readings of a probe as they are used: corrected, and without those of a bath or jar. */
export function correctedRecord(record: ProbeRecord, rule: CorrectionRule): ProbeRecord {
  const { timesMs } = record;
  const here = inPlace(timesMs, rule);
  return { timesMs: here(timesMs), values: here(correctedAt(timesMs, record.values, rule)) };
}

/** Keeps of a column what was reported in the place the probe belongs to. */
function inPlace(timesMs: Float64Array, { away }: CorrectionRule): (column: Float64Array) => Float64Array {
  const [firstMs, lastMs] = [timesMs[0], timesMs.at(-1)];
  if (firstMs === undefined || lastMs === undefined || !touches(away, { firstMs, lastMs }))
    return (column) => column;
  return (column) => column.filter((_, i) => !isAwayAt(away, timesMs[i] as number));
}

function touches(
  away: readonly Away[],
  { firstMs, lastMs }: { readonly firstMs: number; readonly lastMs: number },
): boolean {
  return away.some(({ fromMs, toMs }) => fromMs <= lastMs && toMs > firstMs);
}

/** Minutes of a probe as they are used: exact, as a line that rises maps means and extremes alike. See `correctedRecord`. */
export function correctedMinutes(minutes: Minutes, rule: CorrectionRule): Minutes {
  const { timesMs } = minutes;
  const here = inPlace(timesMs, rule);
  const used = (values: Float64Array) => here(correctedAt(timesMs, values, rule));
  return {
    timesMs: here(timesMs),
    means: used(minutes.means),
    mins: used(minutes.mins),
    maxs: used(minutes.maxs),
  };
}

function correctedAt(timesMs: Float64Array, values: Float64Array, rule: CorrectionRule): Float64Array {
  const first = rule.pieces[0];
  const lastMs = timesMs.at(-1);
  if (!first || lastMs === undefined || lastMs < first.fromMs) return values;
  return values.map((value, i) => correctedValue({ tMs: timesMs[i] as number, value }, rule));
}

/**
 * The summary of an hour of readings as they are used.
 * @param summary of the readings as they were reported, in the unit of the probe
 * @param rule corrections of its probe
 * @returns null where one line does not map it exactly, and it must be summed up again from its readings: a correction
 * begins in it, a value runs against the range of the quantity, a reading may be no measurement, or the probe was away
 * @example correctedSummary(summary, { pieces: [], away: [], quantity: null }) === summary // true
 */
export function correctedSummary<T extends BlockSummary>(summary: T, rule: CorrectionRule): T | null {
  const { pieces, away, quantity } = rule;
  const { firstMs, lastMs, min, max, coveredMs, area, firstValue, lastValue } = summary;
  if (touches(away, { firstMs, lastMs })) return null;
  const line = lineAt(pieces, lastMs);
  if (line === null) return summary;
  if (line.fromMs > firstMs) return null;
  if (isTemperature(quantity) && mayHoldLeftOut({ min, max })) return null;
  const map = (value: number) => onLine(value, line, quantity);
  if ([min, max].some((value) => map(value) !== line.gain * value + line.offset)) return null;
  return {
    ...summary,
    firstValue: map(firstValue),
    lastValue: map(lastValue),
    min: map(min),
    max: map(max),
    area: line.gain * area + line.offset * coveredMs,
  };
}
