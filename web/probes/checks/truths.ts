import type { ProbeTruth } from '../../../shared/wire/probes/checks.ts';

/** So many are listed one below the other. */
const MOST_LISTED = 12;

type Apart<T> = {
  /** corrected, checked once, or to be checked */
  readonly known: readonly T[];
  /** folded */
  readonly plain: readonly T[];
};

/** Probes that can be corrected: of more than a dozen, those of which nothing is known stand apart. */
export function truthsApart<
  T extends Pick<ProbeTruth, 'limits' | 'inForce' | 'corrections' | 'due' | 'lastCheck'>,
>(truths: readonly T[]): Apart<T> {
  const listed = truths.filter(({ limits }) => limits !== null);
  if (listed.length <= MOST_LISTED) return { known: listed, plain: [] };
  const isKnown = ({ inForce, corrections, due, lastCheck }: T) =>
    inForce !== null || corrections.length > 0 || due !== null || lastCheck !== null;
  return { known: listed.filter(isKnown), plain: listed.filter((one) => !isKnown(one)) };
}
