import { LONGEST_MEASURED_MIN } from '../../shared/harm/minutes-without-mist.ts';
import type { BatchDemand } from '../../shared/wire/cuttings/demand.ts';
import type { BatchRooting } from '../../shared/wire/cuttings/rooting.ts';
import { duration } from '../../shared/words/plain.ts';
import { degreeHoursText, fixed, type TemperatureUnit } from '../common/format.ts';
import { type At, dayOf } from './words.ts';

const NOT_EXPECTED: Readonly<
  Record<NonNullable<BatchRooting['expectedReason']>, (rooting: BatchRooting) => string | null>
> = {
  closed: () => null,
  'half-rooted': () => null,
  'no-limits': () => 'No date is expected: no base, optimum and stop are published for this crop.',
  'too-few-batches': ({ batches, needed }) =>
    `No date is expected yet: it takes ${needed} of your own batches of this crop, counted before and after half had roots; ${batches === 0 ? 'none is' : `${batches} of them ${batches === 1 ? 'is' : 'are'}`} known. No total is published for any crop.`,
  'too-little-recorded': () => 'No date is expected: too little of the last days is on record.',
  'no-progress': () =>
    'No date is expected: in the last days the root zone was too cool, or too hot, for any progress.',
};

const REACHED: Readonly<Record<NonNullable<BatchRooting['halfRootedReason']>, string | null>> = {
  'no-count': null,
  'not-yet-half': null,
  'half-at-first-count':
    'When half had roots is not known: the first count found as many already. Count earlier next time.',
};

/** When half of a batch had roots, or is expected to; sentences, most important first. */
export function rootingWords(rooting: BatchRooting, at: At, unit: TemperatureUnit): string[] {
  const { halfRooted, halfRootedReason, expected, expectedReason, fit, batches } = rooting;
  const own = `your own ${batches} batches`;
  return [
    halfRooted &&
      `Half had roots about ${dayOf(halfRooted.at, at)}, between the counts of ${dayOf(halfRooted.after, at)} and ${dayOf(halfRooted.before, at)}.`,
    halfRootedReason && REACHED[halfRootedReason],
    expected && `Half are expected to have roots about ${expectedWords(expected, at)}, by ${own}.`,
    expectedReason && NOT_EXPECTED[expectedReason](rooting),
    fit &&
      `By ${own} it takes ${degreeHoursText(fit.mean, unit)} until half have roots; the next is expected between ${degreeHoursText(fit.nextLow95, unit)} and ${degreeHoursText(fit.nextHigh95, unit)}.`,
  ].filter((words) => words !== null);
}

/** `12 Dec (9 Dec to 16 Dec)`, or without an end where none can be given. */
function expectedWords(
  { at: reached, earliest, latest }: NonNullable<BatchRooting['expected']>,
  at: At,
): string {
  const from = dayOf(earliest, at);
  const range = latest === null ? `from ${from} on, with no end in sight` : `${from} to ${dayOf(latest, at)}`;
  return `${dayOf(reached, at)} (${range})`;
}

const MS_PER_MINUTE = 60_000;

/** How long it stands without mist in the air of now; null past the days of which anything is known. */
export function withoutMistWords({ withoutMist }: Pick<BatchRooting, 'withoutMist'>): string | null {
  if (withoutMist === null) return null;
  const { minutes, low, high, longerThanMeasured } = withoutMist;
  const words = (one: number) => duration(one * MS_PER_MINUTE);
  const estimate =
    'An estimate: measured were poinsettia in the dark [ALEM19]; other air, light and other crops are our model.';
  const longest = words(LONGEST_MEASURED_MIN);
  if (longerThanMeasured) {
    const shortest = low < LONGEST_MEASURED_MIN ? `, ${words(low)} at the shortest` : '';
    return `Without mist it is expected to stand longer than the paper measured, which is ${longest}, in the air of now${shortest}. ${estimate}`;
  }
  const to = high < LONGEST_MEASURED_MIN ? words(high) : `more than ${longest}`;
  return `Without mist it is expected to stand about ${words(minutes)} in the air of now (${words(low)} to ${to}). ${estimate}`;
}

/** How hard the air pulled at its leaves; null where nothing is known. */
export function demandWords({ kpaHours, coveredHours, wetnessUnknownHours }: BatchDemand): string | null {
  if (coveredHours === 0) return null;
  const most =
    wetnessUnknownHours > 0 ? ' at most (the wetness of its leaves is not on record throughout)' : '';
  return `Since it was stuck the air pulled at its leaves with ${fixed(kpaHours, 1)} kPa·h${most}: the vapour pressure gradient from leaf to air, less the wet share of the leaf [LOACH226].`;
}
