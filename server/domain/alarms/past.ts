import type { Window } from '../../../shared/exposure/series.ts';
import type { AlarmFacts, AlarmTransition } from '../../../shared/model/alarms/alarm.ts';
import { CLEAR, type Condition } from './condition.ts';
import { type Sample, withLimitedSample, withTimePassing } from './limit-alarm.ts';
import type { HeldRule } from './limits.ts';
import { type AlarmRecord, type AlarmStep, newAlarm, withAcknowledgement } from './record.ts';

/**
 * The record of one source: ascending times in ms since epoch, values in the unit of the rule; NaN where something was
 * read and its value is not known, as when another probe that it needs is silent.
 */
export type PastSource = {
  readonly source: string;
  readonly timesMs: Float64Array;
  readonly values: Float64Array;
  /** whether a value within the limit shows that what was past it since then has recovered; absent: it does */
  readonly recovers?: (i: number, sinceMs: number) => boolean;
};

/** A limit over a span. `at`: it moves, and is `limit` at the start only. */
type OverSpan = { readonly limit: number | null; readonly at?: (tMs: number) => number | null };

/** Which limit held when, and which limit an active alarm had where that differs; contiguous, ascending. */
export type LimitSpan = Window & OverSpan & { readonly hold?: OverSpan };

type PastQuestion = {
  readonly sources: readonly PastSource[];
  readonly limits: readonly LimitSpan[];
  readonly held: HeldRule;
  /** a sample older than this lets no on-delay run out, ms */
  readonly staleAfterMs: number;
};

/** An alarm that would have been raised; `returnedMs` is null where it was still active at the end of the record. */
export type PastAlarm = {
  readonly sinceMs: number;
  readonly raisedMs: number;
  readonly returnedMs: number | null;
  readonly worst: number;
};

/**
 * The alarms a rule would have raised over a stored record: the same conditions, delays and states as live. Readings
 * that can change nothing are skipped: those on the good side of the limit while nothing waits or is active, and those
 * past it while their source is active, of which only the worst is announced. Live, an on-delay that runs out between readings
 * is seen within 0.2 s.
 * @returns in the order they would have been raised
 */
export function pastAlarms(question: PastQuestion): PastAlarm[] {
  return walked(question, createNotes(question.held, {})).alarms();
}

/** Who acknowledges an alarm that was raised at a time, and when, ms since epoch; null: nobody does. */
export type Answers = (raisedMs: number) => { readonly atMs: number; readonly by: string } | null;

/** A transition of an alarm, at its time, ms since epoch. */
export type PastTransition = {
  readonly transition: AlarmTransition;
  readonly atMs: number;
  readonly by: string | null;
};

/**
 * The same with each transition, acknowledged by whom is said to have answered, and the alarm as it stands at the end, to be
 * judged on from there.
 * @param untilMs nobody answers after this, ms since epoch
 */
export function pastSteps(
  question: PastQuestion,
  of: { readonly placeId: string; readonly answers: Answers; readonly untilMs: number },
): { readonly record: AlarmRecord; readonly transitions: readonly PastTransition[] } {
  const noted = walked(question, createNotes(question.held, of));
  noted.answered(of.untilMs);
  return { record: noted.record, transitions: noted.transitions };
}

function walked(question: PastQuestion, noted: Notes): Notes {
  const { sources, held } = question;
  const next = sources.map(() => 0);
  const newest = new Map<string, Sample>();
  for (;;) {
    const which = earliest(sources, next);
    if (which < 0) break;
    const source = sources[which] as PastSource;
    const at = next[which] as number;
    noted.answered(source.timesMs[at] as number);
    const condition = noted.record.conditions[source.source] ?? CLEAR;
    const skipped = idle(source, { at, condition, limits: question.limits, held });
    if (skipped) {
      if (condition.phase === 'standing') noted.worse(skipped.worst);
      next[which] = skipped.end;
      continue;
    }
    next[which] = at + 1;
    const tMs = source.timesMs[at] as number;
    runOut(noted, { untilMs: tMs, newest, ...question });
    const value = source.values[at] as number;
    const span = limitFrom(question.limits, tMs);
    const sample: Sample = {
      source: source.source,
      tMs,
      value,
      limit: limitAt(span, tMs),
      slopePerMin: null,
      ...(span.hold === undefined ? {} : { holdLimit: limitAt(span.hold, tMs) }),
      ...(source.recovers && { recovers: (sinceMs: number) => source.recovers?.(at, sinceMs) !== false }),
    };
    if (Number.isNaN(value)) {
      // as live, no delay runs out by an earlier value
      newest.delete(source.source);
      continue;
    }
    newest.set(source.source, sample);
    noted.take(withLimitedSample(noted.record, sample, held), tMs);
  }
  runOut(noted, { untilMs: Number.POSITIVE_INFINITY, newest, ...question });
  return noted;
}

type Idle = {
  readonly at: number;
  readonly condition: Condition;
  readonly limits: readonly LimitSpan[];
  readonly held: HeldRule;
};

/** The readings from a place on, under one limit, that can change nothing but the worst value; null where the first may. */
function idle(
  source: PastSource,
  { at, condition, limits, held }: Idle,
): { end: number; worst: number } | null {
  const { phase } = condition;
  if (phase !== 'clear' && phase !== 'standing') return null;
  const { timesMs, values } = source;
  const span = limitFrom(limits, timesMs[at] as number);
  const { toMs } = span;
  const holding = phase === 'standing' && span.hold ? span.hold : span;
  if (phase === 'standing' && holding.limit === null) return null;
  const sign = held.sense === 'above' ? 1 : -1;
  const deadband = phase === 'standing' ? held.deadband : 0;
  const edgeOf = (limit: number | null) =>
    limit === null ? Number.POSITIVE_INFINITY : sign * limit - deadband;
  const fixed = edgeOf(holding.limit);
  let end = at;
  let worst = Number.NEGATIVE_INFINITY;
  for (; end < values.length && (timesMs[end] as number) < toMs; end += 1) {
    const value = sign * (values[end] as number);
    const edge = holding.at ? edgeOf(holding.at(timesMs[end] as number)) : fixed;
    // a clear source matters past its limit, an active one once it is back by the deadband
    if (phase === 'clear' ? value > edge : value <= edge) break;
    if (value > worst) worst = value;
  }
  return end === at ? null : { end, worst: sign * worst };
}

type Holding = Pick<LimitSpan, 'limit' | 'toMs' | 'at' | 'hold'>;

function limitAt({ limit, at }: OverSpan, tMs: number): number | null {
  return at ? at(tMs) : limit;
}

/** The limit that holds at a time and until when, found by halving. */
function limitFrom(limits: readonly LimitSpan[], tMs: number): Holding {
  let [low, high] = [0, limits.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((limits[middle] as LimitSpan).toMs <= tMs) low = middle + 1;
    else high = middle;
  }
  const span = limits[low];
  if (!span) return { limit: null, toMs: Number.POSITIVE_INFINITY };
  return tMs < span.fromMs ? { limit: null, toMs: span.fromMs } : span;
}

type Notes = {
  readonly record: AlarmRecord;
  take(step: AlarmStep, atMs: number): void;
  /** A value of the active alarm, of which nothing else need be known. */
  worse(value: number): void;
  /** What somebody acknowledged up to a time. */
  answered(untilMs: number): void;
  readonly transitions: readonly PastTransition[];
  alarms(): PastAlarm[];
};

type NotesOf = { readonly placeId?: string; readonly answers?: Answers };

function createNotes({ rule, sense }: HeldRule, { placeId, answers }: NotesOf): Notes {
  const further = sense === 'above' ? Math.max : Math.min;
  const alarms: PastAlarm[] = [];
  const transitions: PastTransition[] = [];
  let record = newAlarm({ placeId: placeId ?? null, rule });
  let answer: ReturnType<Answers> = null;
  return {
    get record() {
      return record;
    },
    transitions,
    answered(untilMs) {
      if (answer === null || answer.atMs > untilMs) return;
      const step = withAcknowledgement(record, answer);
      record = step.record;
      if (step.transition !== null) transitions.push({ transition: step.transition, ...answer });
      answer = null;
    },
    take(step, atMs) {
      record = step.record;
      if (step.transition !== null) transitions.push({ transition: step.transition, atMs, by: null });
      if (step.transition === 'raised') answer = answers?.(atMs) ?? null;
      const said = factsOf(record.facts);
      if (step.transition === 'raised') alarms.push({ raisedMs: atMs, returnedMs: null, ...said });
      const last = alarms.at(-1);
      if (!last || last.returnedMs !== null) return;
      const returnedMs = step.transition === 'returned' ? atMs : null;
      const worst = step.transition === 'raised' ? said.worst : further(said.worst, last.worst);
      alarms[alarms.length - 1] = { ...last, ...said, worst, returnedMs };
    },
    worse(value) {
      const last = alarms.at(-1);
      if (last && last.returnedMs === null)
        alarms[alarms.length - 1] = { ...last, worst: further(last.worst, value) };
      const { facts } = record;
      if (facts?.kind === 'past-limit')
        record = { ...record, facts: { ...facts, worst: further(facts.worst, value) } };
    },
    alarms: () => alarms,
  };
}

function factsOf(facts: AlarmFacts | null): { sinceMs: number; worst: number } {
  if (facts?.kind === 'past-limit') return { sinceMs: facts.sinceMs, worst: facts.worst };
  return { sinceMs: 0, worst: Number.NaN };
}

type DelaySettings = Pick<PastQuestion, 'held' | 'staleAfterMs'> & {
  readonly untilMs: number;
  readonly newest: ReadonlyMap<string, Sample>;
};

/** Raises what would have been raised by time alone before the next reading. */
function runOut(noted: Notes, { untilMs, newest, held, staleAfterMs }: DelaySettings): void {
  for (;;) {
    const dueMs = Object.entries(noted.record.conditions)
      .filter(([source, { phase }]) => phase === 'arming' && newest.has(source))
      .map(([, { lastMs, elapsedMs, pace }]) => ({
        lastMs,
        atMs: Math.max(lastMs + Math.ceil((held.onDelayMs - elapsedMs) / pace), held.notBeforeMs ?? 0),
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
