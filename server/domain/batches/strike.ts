import { differenceInterval, isDistinct, wilsonInterval } from '../../../shared/statistics/proportion.ts';
import type { Strike, StrikeDifference } from '../../../shared/wire/cuttings/batches.ts';
import type { CountEntry, KeptBatch } from './batch.ts';

/** The newest count of a batch by when it was made; null before the first. @param counts in the order of time */
function newestCount({ counts }: Pick<KeptBatch, 'counts'>): CountEntry | null {
  return counts.at(-1) ?? null;
}

/**
 * The share of cuttings rooted by the newest count, with its 95 % interval.
 * @returns null before the first count
 * @source [WILSON27]
 */
export function strikeOf(batch: Pick<KeptBatch, 'counts'>): Strike | null {
  const newest = newestCount(batch);
  if (newest === null) return null;
  const { looked, rooted } = newest.count;
  const { low, high } = wilsonInterval({ successes: rooted, trials: looked });
  return { looked, rooted, share: rooted / looked, low95: low, high95: high, method: 'Wilson' };
}

/**
 * By how much two batches differ in strike, by their newest counts. Where the interval of the difference holds 0, they
 * are not told apart and neither is the better.
 * @returns null where one has no count yet
 * @source [NEWCOMBE98B] method 10
 */
export function strikeDifference(
  first: Pick<KeptBatch, 'id' | 'counts'>,
  second: Pick<KeptBatch, 'id' | 'counts'>,
): StrikeDifference | null {
  const [one, two] = [strikeOf(first), strikeOf(second)];
  if (one === null || two === null) return null;
  const interval = differenceInterval(
    { successes: one.rooted, trials: one.looked },
    { successes: two.rooted, trials: two.looked },
  );
  const toldApart = isDistinct(interval);
  const better = interval.difference > 0 ? first.id : second.id;
  return {
    difference: interval.difference,
    low95: interval.low,
    high95: interval.high,
    method: 'Newcombe',
    toldApart,
    better: toldApart ? String(better) : null,
  };
}
