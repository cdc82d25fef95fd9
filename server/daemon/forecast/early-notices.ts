import type { Place } from '../../../shared/model/place.ts';
import type { CeilingExpectedFacts } from '../../../shared/rules/facts.ts';
import type { EarlyNotices, ForecastAnswer } from '../../../shared/wire/places/forecast.ts';
import { type AlarmRecord, alarmId, isActive } from '../../domain/alarms/record.ts';
import {
  areHeldBack,
  COMES_TRUE_WITHIN_MS,
  isExpected,
  NOTICE_DAYS,
  type Notice,
  type NoticeRecord,
  noticeRecordOf,
} from '../../domain/forecast/notices.ts';
import type { Clock } from '../../ports.ts';
import { type RecordContext, spansOf } from '../world/records.ts';
import { DAY_MS } from './day-steps.ts';

/** What is counted is used for so long, ms. */
const COUNTED_MS = 10 * 60_000;
const MOST_EVENTS = 20_000;

type NoticeContext = RecordContext & { readonly clock: Clock };
/** How the notices of a place did, and how many notices and crossings there were. */
type Counted = { readonly of: EarlyNotices; readonly count: number };
type NoticesOf = (place: Place) => Counted;

/** How the early notices of each place did, counted from the history of its alarms. */
export function createNotices(context: NoticeContext): NoticesOf {
  const kept = new Map<string, { readonly atMs: number; readonly record: NoticeRecord; count: number }>();
  return (place) => {
    const nowMs = context.clock.nowMs();
    const known = kept.get(place.id);
    const ageMs = nowMs - (known?.atMs ?? Number.NEGATIVE_INFINITY);
    const fresh = known && ageMs >= 0 && ageMs < COUNTED_MS ? known : count(place, nowMs, context);
    kept.set(place.id, fresh);
    const { record } = fresh;
    const named = { placeId: place.id, name: place.name, days: NOTICE_DAYS };
    return { of: { ...named, ...record, heldBack: areHeldBack(record) }, count: fresh.count };
  };
}

function count(place: Place, nowMs: number, { store }: NoticeContext) {
  const events = store.alarms.eventsOfPlace({
    placeId: place.id,
    fromMs: nowMs - NOTICE_DAYS * DAY_MS,
    toMs: nowMs + 1,
    afterId: 0,
    limit: MOST_EVENTS,
  });
  const of = (rule: 'ceiling-expected' | 'air-over-ceiling') => {
    const id = alarmId({ placeId: place.id, rule });
    return events.filter((event) => event.alarmId === id);
  };
  const notices: Notice[] = [];
  for (const { transition, atMs } of of('ceiling-expected')) {
    const last = notices.at(-1);
    if (transition === 'raised') notices.push({ atMs, answered: false });
    else if (transition === 'acknowledged' && last) notices[notices.length - 1] = { ...last, answered: true };
  }
  const crossingsMs = of('air-over-ceiling')
    .filter(({ transition }) => transition === 'raised')
    .map(({ atMs }) => atMs);
  return {
    atMs: nowMs,
    record: noticeRecordOf(notices, crossingsMs, nowMs),
    count: notices.length + crossingsMs.length,
  };
}

type Evaluation = { readonly forecast: ForecastAnswer | null; readonly noticesOf: NoticesOf };

/** What a notice says now; null where none is due, undefined where nothing new is known. */
export function expectedFacts(
  place: Place,
  { forecast, noticesOf }: Evaluation,
  context: NoticeContext,
): CeilingExpectedFacts | null | undefined {
  const record = context.world.alarm({ placeId: place.id, rule: 'ceiling-expected' });
  const active = isActive(record);
  if (place.settings.alarms['ceiling-expected']?.on === false) return active ? null : undefined;
  if (forecast === null || forecast.points.length === 0) return isStale(record, context) ? null : undefined;
  const { shown, limit } = forecast;
  const nowMs = Date.parse(forecast.at);
  const reachedMs = instantOf(limit?.reachedAt);
  const earliestMs = instantOf(limit?.earliest);
  const due = shown && isExpected({ reachedMs, earliestMs }, { isActive: active, nowMs });
  if (!due || limit === null || earliestMs === null || noticesOf(place).of.heldBack)
    return active ? null : undefined;
  // it goes on though the forecast itself stays just below: what it said first stays
  if (reachedMs === null) return undefined;
  const latestMs = instantOf(limit.latest);
  const said = {
    kind: 'ceiling-expected',
    ceilingC: limit.value,
    expectedMs: rounded(reachedMs),
    earliestMs: rounded(earliestMs),
    latestMs: latestMs === null ? null : rounded(latestMs),
    byDay: isDay(place, nowMs, context),
  } as const;
  if (active && saysTheSame(record.facts, said)) return undefined;
  return { ...said, valueC: forecast.newest ?? limit.value, atMs: nowMs };
}

/** Whether one is active of which nothing new was known for longer than it reaches. */
function isStale(record: AlarmRecord, { clock }: NoticeContext): boolean {
  const sinceMs = record.facts?.kind === 'ceiling-expected' ? record.facts.atMs : 0;
  return isActive(record) && Math.abs(clock.nowMs() - sinceMs) > COMES_TRUE_WITHIN_MS;
}

function isDay(place: Place, nowMs: number, context: RecordContext): boolean {
  const [half] = spansOf(place, { fromMs: nowMs, toMs: nowMs + 1 }, context);
  return half ? !half.night : false;
}

/** An estimate is no more exact than this, ms. */
const SAID_TO_MS = 5 * 60_000;

function rounded(tMs: number): number {
  return Math.round(tMs / SAID_TO_MS) * SAID_TO_MS;
}

function saysTheSame(
  before: AlarmRecord['facts'],
  now: Omit<CeilingExpectedFacts, 'valueC' | 'atMs'>,
): boolean {
  return (
    before?.kind === 'ceiling-expected' &&
    before.expectedMs === now.expectedMs &&
    before.earliestMs === now.earliestMs &&
    before.latestMs === now.latestMs &&
    before.ceilingC === now.ceilingC
  );
}

function instantOf(text: string | null | undefined): number | null {
  return text === null || text === undefined ? null : Date.parse(text);
}
