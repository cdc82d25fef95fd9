import type { Window } from '../../../shared/exposure/series.ts';
import type { AlarmFacts } from '../../../shared/model/alarm.ts';
import { CLEAR, type Condition } from './condition.ts';
import { type Sample, withLimitedSample, withTimePassing } from './limit-alarm.ts';
import type { HeldRule } from './limits.ts';
import { type AlarmRecord, type AlarmStep, newAlarm } from './record.ts';

/** The record of one source: ascending times in ms since epoch, values in the unit of the rule. */
export type PastSource = {
  readonly source: string;
  readonly timesMs: Float64Array;
  readonly values: Float64Array;
};

/** Which limit held when; contiguous, ascending. */
export type LimitSpan = Window & { readonly limit: number | null };

export type PastQuestion = {
  readonly sources: readonly PastSource[];
  readonly limits: readonly LimitSpan[];
  readonly held: HeldRule;
  /** a sample older than this lets no on-delay run out, ms */
  readonly staleAfterMs: number;
};

/** An alarm that would have been raised; `returnedMs` is null where it still stood at the end of the record. */
export type PastAlarm = {
  readonly sinceMs: number;
  readonly raisedMs: number;
  readonly returnedMs: number | null;
  readonly worst: number;
};

/**
 * The alarms a rule would have raised over a stored record: the same conditions, delays and states as live, stepped
 * through every reading of every source. Live, an on-delay that runs out between readings is seen within 0.2 s.
 * @returns in the order they would have been raised
 */
export function pastAlarms(question: PastQuestion): PastAlarm[] {
  const { sources, held } = question;
  const limitAt = limitReader(question.limits);
  const next = sources.map(() => 0);
  const newest = new Map<string, Sample>();
  const noted = createNotes(held);
  for (;;) {
    const which = earliest(sources, next);
    if (which < 0) break;
    const { source, timesMs, values } = sources[which] as PastSource;
    const at = next[which] as number;
    next[which] = at + 1;
    const tMs = timesMs[at] as number;
    runOut(noted, { untilMs: tMs, newest, ...question });
    const sample = { source, tMs, value: values[at] as number, limit: limitAt(tMs), slopePerMin: null };
    if (saysNothing(noted.record.conditions[source], sample, held)) continue;
    newest.set(source, sample);
    noted.take(withLimitedSample(noted.record, sample, held), tMs);
  }
  runOut(noted, { untilMs: Number.POSITIVE_INFINITY, newest, ...question });
  return noted.alarms();
}

type Notes = {
  readonly record: AlarmRecord;
  take(step: AlarmStep, atMs: number): void;
  alarms(): PastAlarm[];
};

function createNotes({ rule }: HeldRule): Notes {
  const alarms: PastAlarm[] = [];
  let record = newAlarm({ placeId: null, rule });
  return {
    get record() {
      return record;
    },
    take(step, atMs) {
      record = step.record;
      const said = factsOf(record.facts);
      if (step.transition === 'raised') alarms.push({ raisedMs: atMs, returnedMs: null, ...said });
      const last = alarms.at(-1);
      if (!last || last.returnedMs !== null) return;
      const returnedMs = step.transition === 'returned' ? atMs : null;
      alarms[alarms.length - 1] = { ...last, ...said, returnedMs };
    },
    alarms: () => alarms,
  };
}

function factsOf(facts: AlarmFacts | null): { sinceMs: number; worst: number } {
  if (facts?.kind === 'air-over-ceiling') return { sinceMs: facts.sinceMs, worst: facts.peakC };
  if (facts?.kind === 'past-limit') return { sinceMs: facts.sinceMs, worst: facts.worst };
  return { sinceMs: 0, worst: Number.NaN };
}

/** Nothing is past its limit and nothing waits: nearly every reading of a good month. */
function saysNothing(condition: Condition | undefined, sample: Sample, { sense }: HeldRule): boolean {
  if ((condition ?? CLEAR).phase !== 'clear') return false;
  if (sample.limit === null) return true;
  return sense === 'above' ? sample.value <= sample.limit : sample.value >= sample.limit;
}

type Waiting = Pick<PastQuestion, 'held' | 'staleAfterMs'> & {
  readonly untilMs: number;
  readonly newest: ReadonlyMap<string, Sample>;
};

/** Raises what would have been raised by time alone before the next reading. */
function runOut(noted: Notes, { untilMs, newest, held, staleAfterMs }: Waiting): void {
  for (;;) {
    const dueMs = Object.values(noted.record.conditions)
      .filter(({ phase }) => phase === 'arming')
      .map(({ lastMs, spentMs, pace }) => ({
        lastMs,
        atMs: lastMs + Math.ceil((held.onDelayMs - spentMs) / pace),
      }))
      .filter(({ lastMs, atMs }) => atMs < untilMs && atMs - lastMs <= staleAfterMs)
      .map(({ atMs }) => atMs);
    if (dueMs.length === 0) return;
    const nowMs = Math.min(...dueMs);
    const time = { nowMs, staleAfterMs, newest: (source: string) => newest.get(source) ?? null };
    const step = withTimePassing(noted.record, time, held);
    if (step.record === noted.record) return;
    noted.take(step, nowMs);
  }
}

function earliest(sources: readonly PastSource[], next: readonly number[]): number {
  let which = -1;
  let bestMs = Number.POSITIVE_INFINITY;
  for (let i = 0; i < sources.length; i += 1) {
    const tMs = (sources[i] as PastSource).timesMs[next[i] as number];
    if (tMs === undefined || tMs >= bestMs) continue;
    which = i;
    bestMs = tMs;
  }
  return which;
}

/** Reads limits at times that only grow. */
function limitReader(limits: readonly LimitSpan[]): (tMs: number) => number | null {
  let at = 0;
  return (tMs) => {
    while (at < limits.length - 1 && tMs >= (limits[at] as LimitSpan).toMs) at += 1;
    const span = limits[at];
    return span && tMs >= span.fromMs && tMs < span.toMs ? span.limit : null;
  };
}
