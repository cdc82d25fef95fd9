import type { PastLimitFacts, UnmistedFacts } from '../../../shared/rules/facts.ts';
import { type AlarmRule, isLimitRule, type LimitRule } from '../../../shared/rules/rules.ts';
import {
  CLEAR,
  type Condition,
  dueAtMs,
  isMet,
  isStanding,
  type LimitedSample,
  lapsed,
  limitFor,
  withSample,
  withTime,
} from './condition.ts';
import type { HeldRule } from './limits.ts';
import { type AlarmRecord, type AlarmStep, isActive, withCondition } from './record.ts';
import { SAMPLERS } from './rules/registry.ts';

/** One value of a source (a probe's id, or the place) with the limit at its time and how it was moving, per minute. */
export type Sample = LimitedSample & {
  readonly source: string;
  readonly slopePerMin: number | null;
  /** it is within its limit only because what it is counted by was moved */
  readonly limitMoved?: true;
  /** whose time without mist the limit follows from */
  readonly unmisted?: UnmistedFacts;
};

/** Takes a sample into the alarm of a rule; each source is judged by itself. */
export function withLimitedSample(record: AlarmRecord, sample: Sample, held: HeldRule): AlarmStep {
  const before = record.conditions[sample.source] ?? CLEAR;
  const next = withSample(before, sample, held);
  if (next === before) return { record, transition: null };
  const judged = { ...sample, limit: limitFor(before, sample) };
  const after = next.phase === 'standing' ? withPastLimit(next, { record, sample: judged, held }) : next;
  const conditions = { ...record.conditions, [sample.source]: after };
  const now = { isMet: anyMet(conditions), atMs: sample.tMs, latching: held.latching };
  const step = withCondition({ ...record, conditions }, now);
  if (judged.limit === null || isBeside(after, conditions)) return step;
  const moved = movedOf(record, { before, after, sample: judged }, held);
  if (!isStanding(after) && (moved === null || step.transition !== 'returned')) return step;
  const said = factsOf(record, judged, after.sinceMs, held);
  const facts = moved === null ? said : { ...said, moved };
  return { ...step, record: { ...step.record, facts } };
}

type Turned = { readonly before: Condition; readonly after: Condition; readonly sample: Sample };

/** What moved, where a source is within its limit without having moved there itself: its limit, or its correction. */
function movedOf(
  { facts }: AlarmRecord,
  { before, after, sample }: Turned,
  held: HeldRule,
): 'limit' | 'correction' | null {
  if (after.phase === 'standing' || facts?.kind !== 'past-limit') return null;
  if (before.phase === 'clearing') return facts.moved ?? null;
  if (before.lapsedBy === CORRECTED) return 'correction';
  if (sample.limitMoved) return 'limit';
  const limit = before.pastLimit ?? facts.limit;
  return isPast({ ...sample, limit }, held) ? 'limit' : null;
}

type Standing = { readonly record: AlarmRecord; readonly sample: Sample; readonly held: HeldRule };

/** Within its limit, but not by the deadband: the limit it was past is remembered, as a limit may move. */
function withPastLimit(condition: Condition, { record, sample, held }: Standing): Condition {
  const { pastLimit, ...plain } = condition;
  if (isPast(sample, held)) return pastLimit === undefined ? condition : plain;
  if (pastLimit !== undefined || record.facts?.kind !== 'past-limit') return condition;
  return { ...condition, pastLimit: record.facts.limit };
}

/** Active sources are not judged for now, for a reason that lies outside their readings. */
export function withLapse(
  record: AlarmRecord,
  {
    sources,
    why,
    nowMs,
  }: { readonly sources: ReadonlySet<string>; readonly why: string; readonly nowMs: number },
): AlarmRecord {
  let { conditions } = record;
  for (const [source, condition] of Object.entries(conditions)) {
    if (!sources.has(source) || !isMet(condition)) continue;
    // its next reading is judged, whenever that was read
    const after = { ...lapsed(condition, { tMs: condition.lastMs, why }), sinceMs: nowMs };
    conditions = { ...conditions, [source]: after };
  }
  return conditions === record.conditions ? record : { ...record, conditions };
}

/** Why a source lapsed whose probe was corrected. */
export const CORRECTED = 'not judged since its probe was corrected';

/** Since when, and why, nothing that an active alarm rests on is judged; null while something is. */
export function lapseOf({
  conditions,
}: Pick<AlarmRecord, 'conditions'>): { sinceMs: number; why: string } | null {
  const met = Object.values(conditions).filter(isMet);
  const first = met[0];
  if (!first || met.some(isStanding)) return null;
  return { sinceMs: Math.max(...met.map(({ sinceMs }) => sinceMs)), why: first.lapsedBy ?? '' };
}

/** Lets time pass: an on-delay that has run out raises the alarm though no new sample came. */
export function withTimePassing(
  record: AlarmRecord,
  time: {
    readonly nowMs: number;
    readonly staleAfterMs: number;
    readonly newest: (source: string) => Sample | null;
  },
  held: HeldRule,
): AlarmStep {
  let step: AlarmStep = { record, transition: null };
  for (const [source, condition] of Object.entries(record.conditions)) {
    const sample = condition.phase === 'arming' ? time.newest(source) : null;
    // the limit may have been moved since, from a time before the sample
    if (!sample || sample.limit === null || !isPast(sample, held)) continue;
    const after = withTime(condition, time, held);
    if (after === condition) continue;
    const conditions = { ...step.record.conditions, [source]: after };
    const facts = factsOf(step.record, sample, after.sinceMs, held);
    const next = withCondition({ ...step.record, conditions, facts }, { isMet: true, atMs: time.nowMs });
    step = { record: next.record, transition: step.transition ?? next.transition };
  }
  return step;
}

/** When the first on-delay of an alarm will have run out, ms since epoch; null where none runs. */
export function firstDueAtMs({ conditions }: Pick<AlarmRecord, 'conditions'>, held: HeldRule): number | null {
  let first: number | null = null;
  for (const source in conditions) {
    const atMs = dueAtMs(conditions[source] ?? CLEAR, held);
    if (atMs !== null && (first === null || atMs < first)) first = atMs;
  }
  return first;
}

/** Rules that hold the readings themselves against a limit: what was spent of a delay can be read back from the record. */
export function isReadBack(rule: AlarmRule): rule is LimitRule {
  if (!isLimitRule(rule)) return false;
  const sampler = SAMPLERS[rule];
  return sampler.by === 'probe' && sampler.asRead;
}

/** True when a step changed anything that must survive a restart; a newer sample alone need not. */
export function mustBeKept(before: AlarmRecord, step: AlarmStep): boolean {
  if (step.transition || worstOf(step.record) !== worstOf(before)) return true;
  const readBack = isReadBack(before.rule);
  const { conditions } = step.record;
  // asked at every reading: no list is made
  for (const source in conditions) {
    const after = conditions[source] ?? CLEAR;
    const known = before.conditions[source] ?? CLEAR;
    if (after === known) continue;
    if (after.phase !== known.phase) return true;
    if (!readBack && (after.elapsedMs !== known.elapsedMs || after.pace !== known.pace)) return true;
  }
  return false;
}

/** Counts the delay of a waiting source over the readings since it began, as it was counted live. */
export function readBack(condition: Condition, samples: Iterable<LimitedSample>, held: HeldRule): Condition {
  let after: Condition = condition;
  for (const sample of samples) {
    if (after.phase !== 'arming') break;
    after = withSample(after, sample, held);
  }
  return after.phase === 'arming' ? after : condition;
}

function isPast(sample: Sample, { sense }: HeldRule): boolean {
  const limit = sample.limit ?? Number.NaN;
  return sense === 'above' ? sample.value > limit : sample.value < limit;
}

function anyMet(conditions: AlarmRecord['conditions']): boolean {
  for (const source in conditions) if (isMet(conditions[source] ?? CLEAR)) return true;
  return false;
}

/** A source that waits out its off-delay while another is still past the limit says nothing of how far it is. */
function isBeside(condition: Condition, all: AlarmRecord['conditions']): boolean {
  return condition.phase === 'clearing' && Object.values(all).some(({ phase }) => phase === 'standing');
}

function worstOf({ facts }: AlarmRecord): number | null {
  return facts?.kind === 'past-limit' ? facts.worst : null;
}

function factsOf(record: AlarmRecord, sample: Sample, sinceMs: number, held: HeldRule): PastLimitFacts {
  const { value, slopePerMin, tMs: atMs } = sample;
  const limit = sample.limit ?? value;
  const before = isActive(record) ? record.facts : null;
  const known = before && 'sinceMs' in before ? before.sinceMs : sinceMs;
  const worstBefore = isActive(record) ? worstOf(record) : null;
  const further = held.sense === 'above' ? Math.max : Math.min;
  const worst = worstBefore === null ? value : further(value, worstBefore);
  const times = { sinceMs: Math.min(sinceMs, known), atMs };
  const why = sample.unmisted === undefined ? {} : { unmisted: sample.unmisted };
  return { kind: 'past-limit', value, limit, worst, ...times, slopePerMin, ...why };
}
