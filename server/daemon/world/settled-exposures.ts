import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import { Fault } from '../../../shared/faults.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { Exposures } from '../../../shared/wire/http.ts';
import { localDays } from '../../domain/calendar/days.ts';
import { CLOUD_MS } from '../../domain/calendar/nights.ts';
import { horizonMs } from '../../domain/disk-space/horizon.ts';
import { exposuresFrom, fetchMarginMs, sumDays } from '../../domain/exposures/exposures.ts';
import { type HourSums, hasAnything, SUMS_VERSION, sumsOfNothing } from '../../domain/exposures/hour-sums.ts';
import { type Cut, cut, type Piece } from '../../domain/exposures/pieces.ts';
import type { SettledPart } from '../../domain/exposures/settled-day.ts';
import { sumPieces } from '../../domain/exposures/sum-pieces.ts';
import type { Span } from '../../ports.ts';
import { exposureQuestion, measuredAt, type RecordContext } from './records.ts';

/** Most hours counted in one go: a month, so that memory stays bounded. */
const HOURS_A_RUN = 31 * 24;
/** An hour is settled this long after nothing that is on time can change it any more. */
const SETTLE_AFTER_MS = 10 * 60_000;

export type SettleContext = RecordContext & {
  readonly nowMs: number;
  /** counts without keeping, as beside a daemon that writes the record */
  readonly readOnly?: boolean;
};

/**
 * What a place was exposed to over a span: days and hours that were settled before are taken as they are, the others
 * are counted now. The answer is the same, bit for bit, as when all is counted from the readings.
 */
export function exposuresOver(place: Place, span: Span, context: SettleContext): Exposures {
  const parts = cut({ ...span, zone: context.timeZone });
  const records = measuredAt(place, context);
  const sums = daySums(place, parts, context);
  return exposuresFrom({
    placeId: place.id,
    ...span,
    settings: place.settings,
    records,
    days: parts.days,
    sums,
  });
}

function daySums(place: Place, { days, pieces }: Cut, context: SettleContext): HourSums[] {
  const settled = context.store.settled.days(place.id, {
    fromMs: days[0]?.fromMs ?? 0,
    toMs: days.at(-1)?.toMs ?? 0,
  });
  const [start, end] = [pieces[0]?.fromMs ?? 0, pieces.at(-1)?.toMs ?? 0];
  const known = days.map(({ fromMs, toMs }) => {
    const day = fromMs >= start && toMs <= end ? settled.get(fromMs) : undefined;
    return day?.toMs === toMs ? day.sums : undefined;
  });
  const rest = pieces.filter(({ day }) => known[day] === undefined);
  // each stretch by itself: what lies between is known, and need not be read
  const sums = joinedRuns(rest).flatMap((run) => sumsOf(place, run, context));
  const counted = sumDays({ days, pieces: rest }, sums);
  const fresh = days.flatMap(({ fromMs, toMs }, i) =>
    known[i] === undefined && fromMs >= start && toMs <= end
      ? [{ fromMs, toMs, whole: true, day: i, sums: counted[i] as HourSums }]
      : [],
  );
  keep(place, { pieces: fresh, sums: fresh.map((day) => day.sums) }, context, 'putDays');
  return days.map((_, i) => known[i] ?? (counted[i] as HourSums));
}

function joinedRuns(pieces: readonly Piece[]): Piece[][] {
  const runs: Piece[][] = [];
  for (const piece of pieces) {
    const run = runs.at(-1);
    if (run?.at(-1)?.toMs === piece.fromMs) run.push(piece);
    else runs.push([piece]);
  }
  return runs;
}

/** The hours of a place that can be settled: from the first that was not, to its newest that is over. */
export function hoursToSettle(place: Place, context: SettleContext): { first: number; end: number } {
  const { store, world } = context;
  const probeIds = world.probesOf(place.id).map(({ id }) => id);
  const oldestMs = store.journal.oldestMs(probeIds);
  if (oldestMs === null) return { first: 0, end: 0 };
  const newestMs = Math.max(...probeIds.map((id) => store.journal.latest(id)?.tMs ?? 0));
  const settled = store.settled.newestHour(place.id);
  const counted = store.horizon.get()?.countedHour ?? Number.NEGATIVE_INFINITY;
  const first = Math.max(settled === null ? Math.floor(oldestMs / MS_PER_HOUR) : settled + 1, counted);
  const end = Math.min(firstOpenHour(place, context.nowMs), Math.floor(newestMs / MS_PER_HOUR) + 1);
  return { first, end: Math.max(first, end) };
}

/** Settles the hours of a place from `first` up to before `end`. */
export function settleHours(
  place: Place,
  { first, end }: { first: number; end: number },
  context: SettleContext,
): void {
  if (first >= end) return;
  const zone = context.timeZone;
  const span = { fromMs: first * MS_PER_HOUR, toMs: end * MS_PER_HOUR };
  sumsOf(place, cut({ ...span, zone }).pieces, context);
  for (const { fromMs, toMs } of localDays({ ...span, zone })) {
    if (toMs <= span.toMs) daySums(place, cut({ fromMs, toMs, zone }), context);
  }
}

function firstOpenHour({ settings }: Place, nowMs: number): number {
  return Math.floor((nowMs - SETTLE_AFTER_MS - fetchMarginMs(settings) - CLOUD_MS) / MS_PER_HOUR);
}

/**
 * Settles the hours of a place so that nothing has to count them again, inside the caller's transaction.
 * @throws Fault `store-failed`
 */
export function settleForGood(
  place: Place,
  { first, end }: { first: number; end: number },
  context: SettleContext,
): void {
  const { pieces } = cut({ fromMs: first * MS_PER_HOUR, toMs: end * MS_PER_HOUR, zone: context.timeZone });
  countMissing(place, pieces, context, (counted) => {
    context.store.settled.put(place.id, worthKeeping(place, counted, context));
  });
}

function sumsOf(place: Place, pieces: readonly Piece[], context: SettleContext): HourSums[] {
  return countMissing(place, pieces, context, (counted) => keep(place, counted, context, 'put'));
}

/** The sums of pieces, those that are not settled counted now and handed over. */
function countMissing(
  place: Place,
  pieces: readonly Piece[],
  context: SettleContext,
  take: (counted: Counted) => void,
): HourSums[] {
  const sums = settledSums(place, pieces, context);
  for (const run of missingRuns(sums)) {
    const missing = pieces.slice(run.start, run.end);
    const counted = sumPieces(exposureQuestion(place, spanOf(missing), context), missing);
    counted.forEach((part, i) => {
      sums[run.start + i] = part;
    });
    take({ pieces: missing, sums: counted });
  }
  return sums as HourSums[];
}

/** What is settled of some pieces; before the horizon, an hour without any settled part is one without a reading. */
function settledSums(
  place: Place,
  pieces: readonly Piece[],
  { store }: SettleContext,
): (HourSums | undefined)[] {
  const settled = store.settled.get(place.id, spanOf(pieces));
  const { countedFromMs } = horizonMs(store.horizon.get());
  const hourOf = (tMs: number) => Math.floor(tMs / MS_PER_HOUR);
  const settledHours = new Set(Array.from(settled.keys(), hourOf));
  return pieces.map(({ fromMs, toMs, whole }) => {
    const part = whole ? settled.get(fromMs) : undefined;
    if (part?.toMs === toMs) return part.sums;
    const isEmpty = toMs <= countedFromMs && !settledHours.has(hourOf(fromMs));
    return isEmpty ? sumsOfNothing(toMs - fromMs) : undefined;
  });
}

function missingRuns(sums: readonly (HourSums | undefined)[]): { start: number; end: number }[] {
  const runs: { start: number; end: number }[] = [];
  sums.forEach((part, i) => {
    if (part) return;
    const last = runs.at(-1);
    if (last?.end === i && i - last.start < HOURS_A_RUN) last.end = i + 1;
    else runs.push({ start: i, end: i + 1 });
  });
  return runs;
}

function spanOf(pieces: readonly Window[]): Span {
  return { fromMs: pieces[0]?.fromMs ?? 0, toMs: pieces.at(-1)?.toMs ?? 0 };
}

type Counted = { readonly pieces: readonly Piece[]; readonly sums: readonly HourSums[] };

/** Whole pieces that are over and hold anything; what was settled for good is left as it is. */
function worthKeeping(
  place: Place,
  { pieces, sums }: Counted,
  { store, nowMs }: SettleContext,
): SettledPart[] {
  const openFromMs = firstOpenHour(place, nowMs) * MS_PER_HOUR;
  const { countedFromMs } = horizonMs(store.horizon.get());
  const targetsEdit = store.places.targetsEntries(place.id).length;
  return pieces.flatMap(({ fromMs, toMs, whole }, i) =>
    whole && toMs <= openFromMs && fromMs >= countedFromMs && hasAnything(sums[i] as HourSums)
      ? [{ fromMs, toMs, formula: SUMS_VERSION, targetsEdit, sums: sums[i] as HourSums }]
      : [],
  );
}

function keep(place: Place, counted: Counted, context: SettleContext, as: 'put' | 'putDays'): void {
  if (context.readOnly) return;
  const parts = worthKeeping(place, counted, context);
  if (parts.length === 0) return;
  try {
    context.store.transaction(() => context.store.settled[as](place.id, parts));
  } catch (cause) {
    // a full disk must not keep anyone from reading: the hours are counted again the next time
    if (!(cause instanceof Fault && cause.code === 'store-failed')) throw cause;
  }
}
