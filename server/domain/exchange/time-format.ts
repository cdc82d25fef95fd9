import { RELATIVE_TIME_BELOW_S } from '../../../firmware-contracts/v1/limits.ts';
import type { TimeFormat } from '../../../shared/model/import-mapping.ts';
import { createTimeReader } from './times.ts';

/** How times are written as far as a few of them show; `zone` and the order of day and month may stay open. */
export type FormatGuess = Exclude<TimeFormat, { kind: 'local' }> | { kind: 'local'; order: Order | null };
export type Order = Extract<TimeFormat, { kind: 'local' }>['order'];

/** Above this a count since 1970 is in milliseconds: in seconds it would lie past the year 5000. */
const MILLISECONDS_ABOVE = 1e11;

/**
 * How the times of a column are written.
 * @param samples cells of the column, none empty
 * @returns the one way all of them can be read in; null when there is none. Whether day or month comes first stays open
 * unless one of the samples tells
 */
export function guessTimeFormat(samples: readonly string[]): FormatGuess | null {
  if (samples.length === 0) return null;
  const reads = (format: TimeFormat) => {
    const read = createTimeReader(format, 'first');
    return samples.every((sample) => read(sample).kind === 'instant');
  };
  const local = (order: Order): TimeFormat => ({ kind: 'local', zone: 'UTC', order });
  if (reads({ kind: 'rfc3339' })) return { kind: 'rfc3339' };
  if (reads(local('ymd'))) return { kind: 'local', order: 'ymd' };
  const [dayFirst, monthFirst] = [reads(local('dmy')), reads(local('mdy'))];
  const areDotted = samples.every((sample) => /^\d+\./.test(sample));
  if (dayFirst && (areDotted || !monthFirst)) return { kind: 'local', order: 'dmy' };
  if (monthFirst) return { kind: 'local', order: dayFirst ? null : 'mdy' };
  if (!reads({ kind: 'epoch', unit: 's' })) return null;
  const counts = samples.map((sample) => Number(sample.replace(',', '.')));
  if (counts.some((count) => count < RELATIVE_TIME_BELOW_S)) return null;
  return { kind: 'epoch', unit: counts.every((count) => count > MILLISECONDS_ABOVE) ? 'ms' : 's' };
}
