import { RELATIVE_TIME_BELOW_S } from '../../../firmware-contracts/v1/limits.ts';
import type { TimeFormat } from '../../../shared/model/import-mapping.ts';
import { createTimeReader } from './read/times.ts';

/** How times are written as far as a few of them show; `zone` and the order of day and month may stay open. */
export type FormatGuess = Exclude<TimeFormat, { kind: 'local' }> | { kind: 'local'; order: Order | null };
type Order = Extract<TimeFormat, { kind: 'local' }>['order'];

/** Above this a count since 1970 is in milliseconds: in seconds it would lie past the year 5000. */
const MILLISECONDS_ABOVE = 1e11;

/**
 * How the times of a column are written.
 * @param samples cells of the column, none empty
 * @returns the way in which most of them can be read; null when there is none. Whether day or month comes first stays
 * open unless the samples show it
 */
export function guessTimeFormat(samples: readonly string[]): FormatGuess | null {
  const readIn = (format: TimeFormat) => {
    const read = createTimeReader(format, 'first');
    return samples.filter((sample) => read(sample).kind === 'instant');
  };
  const isMost = (read: readonly string[]) => read.length > samples.length / 2;
  const local = (order: Order) => readIn({ kind: 'local', zone: 'UTC', order });
  if (isMost(readIn({ kind: 'rfc3339' }))) return { kind: 'rfc3339' };
  if (isMost(local('ymd'))) return { kind: 'local', order: 'ymd' };
  const [dayFirst, monthFirst] = [local('dmy'), local('mdy')];
  if (isMost(dayFirst) || isMost(monthFirst)) return { kind: 'local', order: orderOf(dayFirst, monthFirst) };
  const counts = readIn({ kind: 'epoch', unit: 's' });
  if (!isMost(counts)) return null;
  const values = counts.map((sample) => Number(sample.replace(',', '.')));
  if (values.some((count) => count < RELATIVE_TIME_BELOW_S)) return null;
  return { kind: 'epoch', unit: values.every((count) => count > MILLISECONDS_ABOVE) ? 'ms' : 's' };
}

/** Dots are written day first; otherwise a number above 12 decides. */
function orderOf(dayFirst: readonly string[], monthFirst: readonly string[]): Order | null {
  if (dayFirst.length !== monthFirst.length) return dayFirst.length > monthFirst.length ? 'dmy' : 'mdy';
  return dayFirst.every((sample) => /^\d+\./.test(sample)) ? 'dmy' : null;
}
