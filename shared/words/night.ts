import type { ExcursionKind } from '../wire/places/night.ts';
import { stretchesWords } from './lately.ts';
import { asSentence, duration, type Reader } from './plain.ts';

/** A stretch beyond a limit, ms since epoch. */
type Stretch = {
  readonly kind: ExcursionKind;
  readonly fromMs: number;
  readonly toMs: number;
  readonly goesOn: boolean;
  readonly peak: number | null;
  readonly furthest: number | null;
  readonly harm: number | null;
};

type Seen = {
  readonly excursions: readonly Stretch[];
  /** share of the span in which the place was seen, 0…1 */
  readonly coverage: number;
  readonly spanMs: number;
  /** readings may be so far apart, ms */
  readonly maxGapMs: number;
};

/** More are not read in a glance. */
const MOST_SAID = 3;
/** Shorter ones are noise of the probe at the edge of a band, ms. Proposal. */
const WORTH_SAYING_MS = 5 * 60_000;

/** What happened at a place in a night, worst first; well is said only of what was seen. */
export function nightSentence({ excursions, coverage, spanMs, maxGapMs }: Seen, reader: Reader): string {
  if (coverage === 0) return 'Nothing was read: how it did is not known.';
  const said = [...Map.groupBy(excursions, ({ kind }) => kind).entries()]
    .map(([kind, stretches]) => together(kind, stretches))
    .filter(({ kind, totalMs }) => kind !== 'no-data' && totalMs >= WORTH_SAYING_MS)
    .sort((a, b) => b.harm - a.harm || b.totalMs - a.totalMs)
    .slice(0, MOST_SAID)
    .map((one) => `${asSentence(stretchesWords(one, reader))}.`);
  const unseenMs = (1 - coverage) * spanMs;
  const isSeen = unseenMs <= maxGapMs;
  const unseen = isSeen ? [] : [`Not known for ${duration(unseenMs)}: there were no readings.`];
  if (said.length > 0) return [...said, ...unseen].join(' ');
  return isSeen
    ? 'Within its bands throughout.'
    : ['Within its bands while it was seen.', ...unseen].join(' ');
}

function together(kind: ExcursionKind, stretches: readonly Stretch[]) {
  const furthest = stretches.reduce((worst, one) =>
    (one.furthest ?? one.toMs - one.fromMs) > (worst.furthest ?? worst.toMs - worst.fromMs) ? one : worst,
  );
  return {
    kind,
    furthest: furthest.furthest,
    peak: furthest.peak,
    totalMs: stretches.reduce((sum, { fromMs, toMs }) => sum + toMs - fromMs, 0),
    harm: stretches.reduce((sum, { harm }) => sum + (harm ?? 0), 0),
    count: stretches.length,
    fromMs: stretches[0]?.fromMs ?? 0,
    goesOn: stretches.at(-1)?.goesOn ?? false,
  };
}
