import type { Place } from '../../../shared/model/place.ts';
import { FORECAST_QUANTITIES, type ForecastQuantity } from '../../../shared/wire/places/forecast.ts';
import type { Learned } from '../../domain/forecast/learn.ts';
import type { Clock, Parts } from '../../ports.ts';
import type { RecordContext } from '../world/records.ts';
import { DAY_MS, measuredSteps } from './day-steps.ts';
import { createOutcomes } from './outcomes.ts';
import { createWorkbench, type Workbench } from './workbench.ts';

/** What was read for questions about the past is used again for so long, ms: readings may come late. */
const WORKBENCH_MS = 60_000;
const MOST_WORKBENCHES = 4;
/** Where too little was on record, it is tried again after so long, ms; at once where an older record was imported. */
const AGAIN_MS = 3_600_000;

export type LearnerContext = RecordContext & { readonly clock: Clock };
type Kept = {
  readonly midnightMs: number;
  readonly atMs: number;
  /** where the record began then, ms since epoch */
  readonly oldestMs: number | null;
  readonly learned: Learned | null;
};
type Question = { readonly quantity: ForecastQuantity; readonly atMs: number };

/**
 * What is learned of each place each day, from its record of the last 36 days: some 10 kB a place and quantity. It is
 * learned in parts, beside everything else; a question that comes first waits for those.
 */
export function createLearner(context: LearnerContext) {
  const { world, clock } = context;
  const kept = createKept(context);
  const { keep, isKnown, usable } = kept;
  const workbenchOf = createWorkbenches(context);
  const outcomes = createOutcomes(context);
  let job: Parts<void> | null = null;

  function* learnPlace(place: Place, midnightMs: number): Parts<void> {
    const workbench = createWorkbench(place, context);
    for (const quantity of FORECAST_QUANTITIES) {
      if (isKnown(place, quantity)) continue;
      keep(place, { quantity, midnightMs, learned: yield* workbench.learn(quantity, midnightMs) });
    }
    yield* outcomes.learn(place, { midnightMs, workbench });
  }
  const due = (): Place | undefined =>
    [...world.places.values()].find(
      (place) =>
        (FORECAST_QUANTITIES.some((quantity) => !isKnown(place, quantity)) ||
          !outcomes.isKnown(place, midnightBefore(clock.nowMs()))) &&
        clock.nowMs() - world.newestMs(place.id) < DAY_MS,
    );

  return {
    /** One part of what is to be learned, some milliseconds long; true while more is waiting. */
    turn(): boolean {
      if (job === null) {
        kept.forgetGone();
        outcomes.forgetGone();
        const place = due();
        if (!place) return false;
        job = learnPlace(place, midnightBefore(clock.nowMs()));
      }
      try {
        if (job.next().done) job = null;
      } catch (cause) {
        job = null;
        throw cause;
      }
      return true;
    },
    byMorning: outcomes.byMorning,
    cameOf: outcomes.cameOf,
    /** What was learned for now beside other work; null while nothing was. */
    held: usable,
    /** What there is to learn for now, where it was not yet. */
    *forNow(place: Place, quantity: ForecastQuantity): Parts<Learned | null> {
      const known = usable(place, quantity);
      if (known || (kept.isSameRecord(place, quantity) && isKnown(place, quantity))) return known;
      const midnightMs = midnightBefore(clock.nowMs());
      const learned = yield* workbenchOf(place).learn(quantity, midnightMs);
      keep(place, { quantity, midnightMs, learned });
      return learned;
    },
    /** What there was to learn at a time, by what was read before its midnight (UTC). */
    forTime: (place: Place, { quantity, atMs }: Question): Parts<Learned | null> =>
      workbenchOf(place).learn(quantity, midnightBefore(atMs)),
  };
}

/** What was learned last of each place and quantity. */
function createKept(context: LearnerContext) {
  const { world, clock } = context;
  const kept = new Map<string, Kept>();
  const oldestOf = ({ id }: Place): number | null =>
    context.store.journal.oldestMs(world.probesOf(id).map((probe) => probe.id));
  const keep = (
    place: Place,
    { quantity, ...of }: Pick<Kept, 'midnightMs' | 'learned'> & { quantity: ForecastQuantity },
  ) => void kept.set(keyOf(place, quantity), { ...of, atMs: clock.nowMs(), oldestMs: oldestOf(place) });
  const isKnown = (place: Place, quantity: ForecastQuantity): boolean =>
    !measuredSteps(place, context).includes(quantity) ||
    isUpToDate(kept.get(keyOf(place, quantity)), clock.nowMs());
  const usable = (place: Place, quantity: ForecastQuantity): Learned | null => {
    const known = kept.get(keyOf(place, quantity));
    // until today's fit is made, yesterday's serves
    const isRecent = known && midnightBefore(clock.nowMs()) - known.midnightMs <= DAY_MS;
    return known?.learned?.skill && isRecent ? known.learned : null;
  };
  return {
    keep,
    isKnown,
    usable,
    /** whether the record begins where it began when that was learned: an older one may have been imported */
    isSameRecord: (place: Place, quantity: ForecastQuantity) =>
      kept.get(keyOf(place, quantity))?.oldestMs === oldestOf(place),
    forgetGone() {
      for (const key of kept.keys()) if (!world.places.has(placeIdOf(key))) kept.delete(key);
    },
  };
}

/** Whether all was learned from the midnight before now, or too little was on record a while ago. */
function isUpToDate(known: Kept | undefined, nowMs: number): boolean {
  if (known?.midnightMs !== midnightBefore(nowMs)) return false;
  return Boolean(known.learned?.skill) || Math.abs(nowMs - known.atMs) < AGAIN_MS;
}

/** Workbenches of the places that were asked about last. */
function createWorkbenches(context: LearnerContext) {
  type Bench = { readonly madeAtMs: number; readonly of: string; readonly bench: Workbench };
  const benches = new Map<string, Bench>();
  return (place: Place): Workbench => {
    const nowMs = context.clock.nowMs();
    const ids = context.world.probesOf(place.id).map(({ id }) => id);
    // an older record may have been imported
    const of = JSON.stringify([place.settings, ids, context.store.journal.oldestMs(ids)]);
    const known = benches.get(place.id);
    const ageMs = nowMs - (known?.madeAtMs ?? 0);
    benches.delete(place.id);
    const isGood = known && known.of === of && ageMs >= 0 && ageMs < WORKBENCH_MS;
    const fresh = isGood ? known : { madeAtMs: nowMs, of, bench: createWorkbench(place, context) };
    benches.set(place.id, fresh);
    const oldest = benches.keys().next().value;
    if (benches.size > MOST_WORKBENCHES && oldest !== undefined) benches.delete(oldest);
    return fresh.bench;
  };
}

function midnightBefore(atMs: number): number {
  return Math.floor(atMs / DAY_MS) * DAY_MS;
}

function keyOf({ id }: Place, quantity: ForecastQuantity): string {
  return `${quantity} ${id}`;
}

function placeIdOf(key: string): string {
  return key.slice(key.indexOf(' ') + 1);
}
