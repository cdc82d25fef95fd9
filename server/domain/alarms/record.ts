import {
  type AlarmFacts,
  type AlarmState,
  type AlarmTransition,
  MAX_SHELVE_MS,
} from '../../../shared/model/alarms/alarm.ts';
import {
  type AlarmPriority,
  type AlarmRule,
  isLimitRule,
  LIMIT_RULE_DEFINITIONS,
  RE_ALARM_MS,
  RULES,
} from '../../../shared/rules/rules.ts';
import type { Condition } from './condition.ts';
import { alarmStep } from './machine.ts';

/** Nothing can be shelved for longer, ms. */
const LONGEST_SHELVE_MS = Math.max(...Object.values(MAX_SHELVE_MS));

/** Everything an alarm must remember to go on after a restart as if there had been none. */
export type AlarmRecord = {
  readonly id: string;
  /** null for an alarm of the installation itself */
  readonly placeId: string | null;
  readonly rule: AlarmRule;
  readonly priority: AlarmPriority;
  readonly state: AlarmState;
  /** one condition a source (a probe's id, or the place), the alarm's condition is met while any of them is */
  readonly conditions: Readonly<Record<string, Condition>>;
  readonly raisedAtMs: number | null;
  readonly acknowledgedAtMs: number | null;
  readonly acknowledgedBy: string | null;
  /** how bad it was when it was acknowledged, in the unit of its rule or silent probes; absent where it has no measure */
  readonly seenWorst?: number;
  readonly returnedAtMs: number | null;
  readonly shelved: { readonly untilMs: number; readonly reason: string; readonly by: string | null } | null;
  readonly suppressedBy: Suppression | null;
  readonly outOfService: {
    readonly sinceMs: number;
    readonly reason: string;
    readonly by: string | null;
  } | null;
  readonly facts: AlarmFacts | null;
  /** how it repeated lately; absent from records of before it was noted */
  readonly chatter?: Chatter | null;
};

/** What an alarm remembers of its repeating; times in ms since epoch. */
export type Chatter = {
  /** when it was raised lately, ascending */
  readonly raisedMs: readonly number[];
  /** its newest raising or return, by the daemon's clock */
  readonly lastMs: number;
  /** while it is held: announced once as repeating, and not at each raising and return */
  readonly held: {
    /** the first of the raisings that made it chatter, and the one at which it was announced as repeating */
    readonly sinceMs: number;
    readonly announcedMs: number;
    readonly times: number;
    readonly acknowledgedAtMs: number | null;
  } | null;
};

/** Why the rules themselves keep an alarm from being announced. */
export type Suppression =
  /** another alarm of its group was first and is announced for it */
  | { readonly why: 'consequence'; readonly of: string }
  /** a vent is open, as it was logged or recognised: dry air is meant; `sinceMs` of one that is recognised */
  | { readonly why: 'vent'; readonly sinceMs?: number }
  /** nobody has said yet what its place is and what roots there */
  | { readonly why: 'questions-open' }
  /** nothing it rests on is judged for now, and it had not recovered */
  | { readonly why: 'lapsed'; readonly sinceMs: number; readonly reason: string };

/** A record after a step, the transition it made, if any, and what its entry in the history says. */
export type AlarmStep = {
  readonly record: AlarmRecord;
  readonly transition: AlarmTransition | null;
  readonly note?: string;
};

/** The id of the alarm of a rule at a place, or of the installation. */
export function alarmId({ placeId, rule }: { placeId: string | null; rule: AlarmRule }): string {
  return `${placeId ?? 'house'}.${rule}`;
}

/** The alarm of a rule at a place (or of the installation, `null`), before anything has happened. */
export function newAlarm(of: { placeId: string | null; rule: AlarmRule }): AlarmRecord {
  return {
    id: alarmId(of),
    placeId: of.placeId,
    rule: of.rule,
    priority: RULES[of.rule].priority,
    state: 'normal',
    conditions: {},
    raisedAtMs: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    returnedAtMs: null,
    shelved: null,
    suppressedBy: null,
    outOfService: null,
    facts: null,
  };
}

/** Moves the alarm by whether its condition is met at a time (ms since epoch). */
export function withCondition(
  record: AlarmRecord,
  now: { readonly isMet: boolean; readonly atMs: number; readonly latching?: boolean },
): AlarmStep {
  const over = now.latching ? 'over-latched' : 'over';
  const { state, transition } = alarmStep(record.state, now.isMet ? 'met' : over);
  if (transition === 'raised') return { record: raised({ ...record, state }, now.atMs), transition };
  if (transition === 'returned') {
    // what was raised and over while it was held off was announced to nobody, and nobody need confirm it
    const wasQuiet = wasSentToNobody(record);
    const next = {
      ...record,
      state: wasQuiet ? 'normal' : state,
      returnedAtMs: now.atMs,
      suppressedBy: null,
    } as const;
    return { record: next, transition };
  }
  return { record, transition };
}

function wasSentToNobody({ suppressedBy, raisedAtMs }: AlarmRecord): boolean {
  if (suppressedBy?.why === 'questions-open') return true;
  if (suppressedBy?.why !== 'vent' || suppressedBy.sinceMs === undefined) return false;
  return (raisedAtMs ?? 0) >= suppressedBy.sinceMs;
}

function raised(record: AlarmRecord, atMs: number): AlarmRecord {
  return { ...record, raisedAtMs: atMs, acknowledgedAtMs: null, acknowledgedBy: null, returnedAtMs: null };
}

/**
 * Ends an alarm that nobody judges any more: not because anything returned to normal. The facts stay as they were when
 * it was judged last.
 */
export function withoutJudging(record: AlarmRecord, atMs: number): AlarmStep {
  const idle = { ...record, conditions: {} };
  if (!isActive(record)) return { record: idle, transition: null };
  return {
    record: { ...idle, state: 'normal', suppressedBy: null, returnedAtMs: atMs },
    transition: 'not-judged',
  };
}

/** A person confirms having seen the alarm; no effect on one that is normal or acknowledged already. */
export function withAcknowledgement(
  record: AlarmRecord,
  { atMs, by }: { atMs: number; by?: string | null },
): AlarmStep {
  const { state, transition } = alarmStep(record.state, 'acknowledge');
  if (!transition) return { record, transition };
  const seenWorst = worstOf(record);
  const seen = { acknowledgedAtMs: atMs, acknowledgedBy: by ?? null };
  return { record: { ...record, state, ...seen, ...(seenWorst === null ? {} : { seenWorst }) }, transition };
}

/** A latched alarm that was seen, and whose condition is over, is let go. */
export function withReset(record: AlarmRecord): AlarmStep {
  const { state, transition } = alarmStep(record.state, 'reset');
  return { record: transition ? { ...record, state } : record, transition };
}

/** How bad an alarm is, as far as it has a measure: the worst value beyond its limit, or how many probes are silent. */
function worstOf({ facts }: AlarmRecord): number | null {
  if (facts?.kind === 'past-limit') return facts.worst;
  return facts?.kind === 'no-data' ? facts.silent.length : null;
}

/** Whether it has become worse since it was acknowledged: by its deadband at least, a time by as much again. */
function isWorse(record: AlarmRecord): boolean {
  const [now, { rule, seenWorst }] = [worstOf(record), record];
  if (now === null || seenWorst === undefined) return false;
  if (!isLimitRule(rule)) return now > seenWorst;
  const { sense, deadband, unit } = LIMIT_RULE_DEFINITIONS[rule];
  if (unit === 'min' || unit === 'h') return now >= 2 * seenWorst;
  return sense === 'above' ? now > seenWorst + deadband : now < seenWorst - deadband;
}

/**
 * Lets time pass for an acknowledged alarm that stays active: after its re-alarm time it asks again, one of less than high
 * priority only where it has become worse.
 */
export function withReAlarm(record: AlarmRecord, { nowMs }: { nowMs: number }): AlarmStep {
  const afterMs = RE_ALARM_MS[record.priority];
  const seenMs = record.acknowledgedAtMs;
  const lapsed = record.suppressedBy?.why === 'lapsed';
  if (record.state !== 'acknowledged' || afterMs === null || seenMs === null || lapsed)
    return { record, transition: null };
  // seen later than it could be: by a clock that was ahead
  const isRecent = nowMs - seenMs < afterMs && seenMs - nowMs < afterMs;
  if (isRecent || (record.priority !== 'high' && !isWorse(record))) return { record, transition: null };
  return reAlarmed(record);
}

function reAlarmed(record: AlarmRecord): AlarmStep {
  const { state, transition } = alarmStep(record.state, 're-alarm');
  if (!transition) return { record, transition };
  return { record: { ...record, state, acknowledgedAtMs: null, acknowledgedBy: null }, transition };
}

/** A priority raised by harm asks again, whoever had acknowledged it. */
export function withPriority(record: AlarmRecord, priority: AlarmPriority): AlarmStep {
  return { record: { ...reAlarmed(record).record, priority }, transition: 'priority-raised' };
}

/** A person suppresses the alarm until a time; it is tracked on underneath. */
export function withShelving(
  record: AlarmRecord,
  shelved: { untilMs: number; reason: string; by?: string | null },
): AlarmStep {
  return { record: { ...record, shelved: { ...shelved, by: shelved.by ?? null } }, transition: 'shelved' };
}

/** Ends the shelving: by a person, or because its time is up. What is still active asks again. */
export function withoutShelving(record: AlarmRecord): AlarmStep {
  if (!record.shelved) return { record, transition: null };
  return { record: reAlarmed({ ...record, shelved: null }).record, transition: 'unshelved' };
}

/** Takes the alarm out of service for maintenance: it is tracked on underneath and announced to nobody. */
export function withOutOfService(
  record: AlarmRecord,
  out: { sinceMs: number; reason: string; by?: string | null },
): AlarmStep {
  const outOfService = { ...out, by: out.by ?? null };
  return { record: { ...record, outOfService }, transition: 'out-of-service' };
}

/** Puts the alarm back in service. What is still active asks again. */
export function inService(record: AlarmRecord): AlarmStep {
  if (!record.outOfService) return { record, transition: null };
  return { record: reAlarmed({ ...record, outOfService: null }).record, transition: 'in-service' };
}

/** Suppresses the alarm by design, or no longer (`null`); its condition is tracked on underneath. */
export function withSuppression(record: AlarmRecord, suppressedBy: Suppression | null): AlarmStep {
  if (JSON.stringify(suppressedBy) === JSON.stringify(record.suppressedBy))
    return { record, transition: null };
  return { record: { ...record, suppressedBy }, transition: suppressedBy ? 'suppressed' : 'unsuppressed' };
}

/** True while the alarm's condition is met, acknowledged or not. */
export function isActive({ state }: Pick<AlarmRecord, 'state'>): boolean {
  return state === 'unacknowledged' || state === 'acknowledged';
}

/** True while the alarm is shelved, so that nobody is notified. */
export function isShelved(record: AlarmRecord, { nowMs }: { nowMs: number }): boolean {
  if (record.shelved === null) return false;
  const { untilMs } = record.shelved;
  // for longer than anybody can shelve: by a clock that was ahead
  return nowMs < untilMs && untilMs - nowMs <= LONGEST_SHELVE_MS;
}

/** True while people are notified of the alarm: nothing suppresses it. */
export function isAnnunciated(record: AlarmRecord, { nowMs }: { nowMs: number }): boolean {
  return record.outOfService === null && record.suppressedBy === null && !isShelved(record, { nowMs });
}
