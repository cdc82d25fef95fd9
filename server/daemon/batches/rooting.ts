import { minutesWithoutMist } from '../../../shared/harm/minutes-without-mist.ts';
import type { BatchRooting } from '../../../shared/wire/cuttings/rooting.ts';
import { endOf, entryAt, type KeptBatch } from '../../domain/batches/batch.ts';
import {
  type Expectation,
  expectHalfRooted,
  FEWEST_BATCHES,
  type FinishedBatch,
  halfRooted,
  ownFit,
} from '../../domain/batches/half-rooted.ts';
import { isPoinsettia } from '../../domain/batches/standing.ts';
import { valuesNow } from '../readout/present.ts';
import { type BatchContext, isOfDemo, isoOf } from './context.ts';
import { thermalTimeOfBatch } from './sums.ts';

const DAY_MS = 86_400_000;
/** The rate is that of so many days. */
const LAST_DAYS = 7;
/** Most batches that the grower's own total is made of: the newest. */
const MOST_FITTED = 50;

/** The clock of a batch: when half had roots or is expected to, and how long it stands without mist now. */
export function rootingOf(batch: KeptBatch, context: BatchContext): BatchRooting {
  const reached = reachedBy(batch);
  const finished = finishedLike(batch, context);
  const fit = ownFit(finished);
  const expected = expectationOf(batch, { fit, isReached: !('reason' in reached) }, context);
  return {
    halfRooted:
      'reason' in reached
        ? null
        : { at: isoOf(reached.atMs), after: isoOf(reached.beforeMs), before: isoOf(reached.afterMs) },
    halfRootedReason: 'reason' in reached ? reached.reason : null,
    batches: finished.length,
    needed: FEWEST_BATCHES,
    fit:
      'reason' in fit
        ? null
        : {
            mean: fit.mean,
            low95: fit.mean95.low,
            high95: fit.mean95.high,
            nextLow95: fit.next95.low,
            nextHigh95: fit.next95.high,
          },
    expected: 'reason' in expected ? null : expectedView(expected),
    expectedReason: 'reason' in expected ? expected.reason : null,
    withoutMist: withoutMistNow(batch, context),
  };
}

function reachedBy({ counts }: KeptBatch) {
  return halfRooted(
    counts.map(({ atMs, count }) => ({ atMs, examined: count.looked, rooted: count.rooted })),
  );
}

/** The thermal time to half rooted of the same grower's other batches of a crop, the newest first. */
function finishedLike(batch: KeptBatch, context: BatchContext): FinishedBatch[] {
  const crop = plain(batch.body.crop);
  const invented = isOfDemo(batch, context);
  return context.store.batches
    .all()
    .filter((one) => one.id !== batch.id && one.deletedMs === null && plain(one.body.crop) === crop)
    .filter((one) => isOfDemo(one, context) === invented)
    .toSorted((a, b) => b.stuckMs - a.stuckMs)
    .flatMap((one): FinishedBatch[] => {
      const reached = reachedBy(one);
      if ('reason' in reached) return [];
      const span = { fromMs: one.stuckMs, toMs: reached.atMs };
      const { degreeHours, coveredHours } = thermalTimeOfBatch(one, {}, context, span);
      const hours = (span.toMs - span.fromMs) / 3_600_000;
      // what was half unseen says nothing of the total
      const isKnown = degreeHours !== null && coveredHours !== null && coveredHours >= MOSTLY * hours;
      return isKnown && degreeHours > 0 ? [{ batchId: String(one.id), degreeHours }] : [];
    })
    .slice(0, MOST_FITTED);
}

/** With less of the time on record a batch is no part of the fit. */
const MOSTLY = 0.9;

function plain(text: string): string {
  return text.trim().toLowerCase();
}

type Reached = Exclude<Expectation, { reason: string }>;
type NotExpected = { readonly reason: NonNullable<BatchRooting['expectedReason']> };

function expectationOf(
  batch: KeptBatch,
  { fit, isReached }: { readonly fit: ReturnType<typeof ownFit>; readonly isReached: boolean },
  context: BatchContext,
): Reached | NotExpected {
  const nowMs = context.clock.nowMs();
  if (isReached) return { reason: 'half-rooted' };
  if (endOf(batch) <= nowMs) return { reason: 'closed' };
  const over = (fromMs: number, toMs: number) => thermalTimeOfBatch(batch, {}, context, { fromMs, toMs });
  const { degreeHours } = over(batch.stuckMs, Math.max(nowMs, batch.stuckMs));
  if (degreeHours === null) return { reason: 'no-limits' };
  const days = Math.min(LAST_DAYS, Math.floor((nowMs - batch.stuckMs) / DAY_MS));
  const lastDays = Array.from({ length: Math.max(days, 0) }, (_, back) => {
    const day = over(nowMs - (back + 1) * DAY_MS, nowMs - back * DAY_MS);
    return { degreeHours: day.degreeHours ?? 0, coveredHours: day.coveredHours ?? 0 };
  });
  return expectHalfRooted({ fit, degreeHours, lastDays, nowMs });
}

function expectedView({ atMs, earliestMs, latestMs, ratePerDay }: Reached): BatchRooting['expected'] {
  return {
    at: isoOf(atMs),
    earliest: isoOf(earliestMs),
    latest: latestMs === null ? null : isoOf(latestMs),
    degreeHoursPerDay: ratePerDay,
  };
}

/** By the newest values of where it stands; null past the days of the paper, and where the air is not known. */
function withoutMistNow(batch: KeptBatch, context: BatchContext): BatchRooting['withoutMist'] {
  const nowMs = context.clock.nowMs();
  const placeId = entryAt(batch.stays, nowMs)?.placeId ?? null;
  const place = placeId === null ? undefined : context.world.places.get(placeId);
  if (!place || endOf(batch) <= nowMs || nowMs < batch.stuckMs) return null;
  const { quantities } = valuesNow(place, context);
  const read = (name: 'leafVpdKpa' | 'airVpdKpa' | 'ppfdUmolM2S') => {
    const value = quantities[name];
    return value && value.state !== 'stale' ? value.value : null;
  };
  const vpdKpa = read('leafVpdKpa') ?? read('airVpdKpa');
  if (vpdKpa === null) return null;
  return minutesWithoutMist({
    ageDays: (nowMs - batch.stuckMs) / DAY_MS,
    vpdKpa: Math.max(vpdKpa, 0),
    ppfdUmolM2S: read('ppfdUmolM2S'),
    isPoinsettia: isPoinsettia(batch.body.crop),
  });
}
