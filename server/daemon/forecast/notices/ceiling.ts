import type { Place } from '../../../../shared/model/place.ts';
import type { CeilingExpectedFacts } from '../../../../shared/rules/facts.ts';
import type { ForecastAnswer } from '../../../../shared/wire/places/forecast.ts';
import { type AlarmRecord, isActive } from '../../../domain/alarms/record.ts';
import { COMES_TRUE_WITHIN_MS, isExpected } from '../../../domain/forecast/notices.ts';
import type { Clock } from '../../../ports.ts';
import { type RecordContext, spansOf } from '../../world/records.ts';

type NoticeContext = RecordContext & { readonly clock: Clock };

/** What the notice about the ceiling says now; null where none is due, undefined where nothing new is known. */
export function ceilingExpected(
  place: Place,
  { forecast, record }: { readonly forecast: ForecastAnswer | null; readonly record: AlarmRecord },
  context: NoticeContext,
): CeilingExpectedFacts | null | undefined {
  const active = isActive(record);
  if (forecast === null || forecast.points.length === 0) return isStale(record, context) ? null : undefined;
  const { shown, limit } = forecast;
  const nowMs = Date.parse(forecast.at);
  const reachedMs = instantOf(limit?.reachedAt);
  const earliestMs = instantOf(limit?.earliest);
  const due = shown && isExpected({ reachedMs, earliestMs }, { isActive: active, nowMs });
  if (!due || limit === null || earliestMs === null) return active ? null : undefined;
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
