import { MS_PER_HOUR, type Window } from '../../shared/exposure/series.ts';
import { Fault } from '../../shared/faults.ts';
import type { Place } from '../../shared/model/place.ts';
import type { Exposures } from '../../shared/wire/http.ts';
import { CLOUD_MS } from '../domain/calendar/nights.ts';
import { exposuresFrom, fetchMarginMs } from '../domain/exposures/exposures.ts';
import { type HourSums, tellsAnything } from '../domain/exposures/hour-sums.ts';
import { cut, type Piece } from '../domain/exposures/pieces.ts';
import { sumPieces } from '../domain/exposures/sum-pieces.ts';
import type { Span } from '../ports.ts';
import { exposureQuestion, measuredAt, type RecordContext } from './records.ts';

/** Most hours counted in one go: a month, so that memory stays bounded. */
const HOURS_A_RUN = 31 * 24;
/** An hour is settled this long after nothing that is on time can change it any more. */
const SETTLE_AFTER_MS = 10 * 60_000;

export type SettleContext = RecordContext & { readonly nowMs: number };

/**
 * What a place was exposed to over a span: hours that were settled before are taken as they are, the others are
 * counted now. The answer is the same, bit for bit, as when all is counted from the readings.
 */
export function exposuresOver(place: Place, span: Span, context: SettleContext): Exposures {
  const parts = cut({ ...span, zone: context.timeZone });
  const sums = sumsOf(place, parts.pieces, context);
  const records = measuredAt(place, context);
  return exposuresFrom({ placeId: place.id, ...span, settings: place.settings, records, parts, sums });
}

/** The hours of a place that can be settled: from the first that was not, to its newest that is over. */
export function hoursToSettle(place: Place, context: SettleContext): { first: number; end: number } {
  const { store, world } = context;
  const probeIds = world.probesOf(place.id).map(({ id }) => id);
  const oldestMs = store.journal.oldestMs(probeIds);
  if (oldestMs === null) return { first: 0, end: 0 };
  const newestMs = Math.max(...probeIds.map((id) => store.journal.latest(id)?.tMs ?? 0));
  const settled = store.settled.newestHour(place.id);
  const first = settled === null ? Math.floor(oldestMs / MS_PER_HOUR) : settled + 1;
  const end = Math.min(firstOpenHour(place, context.nowMs), Math.floor(newestMs / MS_PER_HOUR) + 1);
  return { first, end: Math.max(first, end) };
}

/** Settles the hours of a place from `first` up to before `end`. */
export function settleHours(
  place: Place,
  { first, end }: { first: number; end: number },
  context: SettleContext,
): void {
  const span = { fromMs: first * MS_PER_HOUR, toMs: end * MS_PER_HOUR };
  if (first < end) sumsOf(place, cut({ ...span, zone: context.timeZone }).pieces, context);
}

function firstOpenHour({ settings }: Place, nowMs: number): number {
  return Math.floor((nowMs - SETTLE_AFTER_MS - fetchMarginMs(settings) - CLOUD_MS) / MS_PER_HOUR);
}

function sumsOf(place: Place, pieces: readonly Piece[], context: SettleContext): HourSums[] {
  const hours = pieces.flatMap(({ hour }) => (hour === null ? [] : [hour]));
  const range = { first: hours[0] ?? 0, last: hours.at(-1) ?? -1 };
  const settled = context.store.settled.get(place.id, range);
  const sums: (HourSums | undefined)[] = pieces.map(({ hour }) =>
    hour === null ? undefined : settled.get(hour),
  );
  for (const run of missingRuns(sums)) {
    const missing = pieces.slice(run.start, run.end);
    const counted = sumPieces(exposureQuestion(place, spanOf(missing), context), missing);
    counted.forEach((part, i) => {
      sums[run.start + i] = part;
    });
    keep(place, { pieces: missing, sums: counted }, context);
  }
  return sums as HourSums[];
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

function keep(place: Place, { pieces, sums }: Counted, { store, nowMs }: SettleContext): void {
  const firstOpen = firstOpenHour(place, nowMs);
  const targetsEdit = store.places.targetsEntries(place.id).length;
  const hours = pieces.flatMap(({ hour }, i) =>
    hour !== null && hour < firstOpen && tellsAnything(sums[i] as HourSums)
      ? [{ placeId: place.id, hour, targetsEdit, sums: sums[i] as HourSums }]
      : [],
  );
  if (hours.length === 0) return;
  try {
    store.transaction(() => store.settled.put(hours));
  } catch (cause) {
    // a full disk must not keep anyone from reading: the hours are counted again the next time
    if (!(cause instanceof Fault && cause.code === 'store-failed')) throw cause;
  }
}
