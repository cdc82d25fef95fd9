import type { BatchRooting } from '../../shared/wire/cuttings/rooting.ts';
import { duration } from '../../shared/words/plain.ts';
import { degreeHoursText, type TemperatureUnit } from '../common/format.ts';
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
  const [minutes, low, high] = [withoutMist.minutes, withoutMist.low, withoutMist.high].map((one) =>
    duration(one * MS_PER_MINUTE),
  );
  return `Without mist it is expected to stand about ${minutes} in the air of now (${low} to ${high}). An estimate: measured were poinsettia in the dark [ALEM19]; other air, light and other crops are our model.`;
}
