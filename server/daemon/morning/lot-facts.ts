import type { Place } from '../../../shared/model/place.ts';
import type { InstallationFacts, LotFacts, PairFacts } from '../../../shared/wire/places/morning.ts';
import { asSentence } from '../../../shared/words/plain.ts';
import { endOf, entryAt, type KeptBatch, standingAt } from '../../domain/batches/batch.ts';
import { dueStage } from '../../domain/batches/due.ts';
import { compare } from '../batches/compare.ts';
import { type BatchContext, isOfDemo } from '../batches/context.ts';
import { rootingOf } from '../batches/rooting.ts';
import { thermalTimeOfBatch } from '../batches/sums.ts';
import type { NightQuery } from './watch-facts.ts';

/** Most batches of a place that are shown, the newest; and most pairs that are compared, each costs some ms. */
const MOST_LOTS = 6;
const MOST_PAIRS = 5;

const iso = (atMs: number) => new Date(atMs).toISOString();

/** The batches open at an instant. */
function openAt(batches: readonly KeptBatch[], atMs: number): KeptBatch[] {
  return batches.filter((one) => one.deletedMs === null && one.stuckMs <= atMs && endOf(one) > atMs);
}

function nameOf({ body: { crop, cultivar } }: KeptBatch): string {
  return cultivar === null ? asSentence(crop) : `${asSentence(crop)} ‘${cultivar}’`;
}

/** The batches that stood at a place at the end of a night. */
export function lotFacts(place: Place, asked: NightQuery, context: BatchContext): LotFacts[] {
  const { toMs } = asked.span;
  return openAt(context.store.batches.atPlace(place.id), toMs)
    .filter((one) => entryAt(one.stays, toMs)?.placeId === place.id)
    .slice(-MOST_LOTS)
    .map((batch) => lotOf(batch, asked, context));
}

function lotOf(batch: KeptBatch, { span, isToday }: NightQuery, context: BatchContext): LotFacts {
  const { toMs } = span;
  const { stage, sheet } = standingAt(batch, toMs);
  const life = { fromMs: batch.stuckMs, toMs };
  const { degreeHours, coveredHours } = thermalTimeOfBatch(batch, {}, context, life);
  const rooting = isToday ? rootingOf(batch, context) : null;
  const { expected } = rooting ?? { expected: null };
  const kept = context.sheetOf(sheet.sheetId, sheet.version);
  return {
    batchId: String(batch.id),
    name: nameOf(batch),
    stage: stage.stage,
    stageFrom: iso(stage.fromMs),
    stuckAt: iso(batch.stuckMs),
    due: dueStage(batch, kept, { nowMs: toMs, zone: context.timeZone }),
    degreeHours,
    coveredHours,
    expected: expected && { at: expected.at, earliest: expected.earliest, latest: expected.latest },
    expectedReason: rooting ? rooting.expectedReason : 'past',
    halfRootedAt: rooting?.halfRooted?.at ?? null,
  };
}

/** Open batches of one crop beside each other, as they are now; null of a night long past. */
export function pairFacts({ span, isToday }: NightQuery, context: BatchContext): InstallationFacts['pairs'] {
  if (!isToday) return null;
  const open = openAt(context.store.batches.all(), span.toMs);
  const crops = Map.groupBy(open, (one) => `${isOfDemo(one, context)} ${one.body.crop.trim().toLowerCase()}`);
  return [...crops.values()]
    .flatMap((batches) =>
      batches.flatMap((first, i) => batches.slice(i + 1).map((second) => [first, second] as const)),
    )
    .slice(0, MOST_PAIRS)
    .map(([first, second]) => pairOf(first, second, context));
}

function pairOf(first: KeptBatch, second: KeptBatch, context: BatchContext): PairFacts {
  const { strike, pairs } = compare({ batches: [first, second].map(({ id }) => String(id)) }, context);
  const means = pairs[0]?.means ?? [];
  const better = strike?.better ?? null;
  return {
    first: { batchId: String(first.id), name: nameOf(first) },
    second: { batchId: String(second.id), name: nameOf(second) },
    crop: first.body.crop,
    strike: strike && {
      difference: strike.difference,
      low95: strike.low95,
      high95: strike.high95,
      better: better === null ? null : better === String(first.id) ? 'first' : 'second',
    },
    means: means.flatMap(({ quantity, difference, sensorErrorK }) =>
      difference === null ? [] : [{ of: quantity, differenceK: difference, sensorErrorK }],
    ),
  };
}
