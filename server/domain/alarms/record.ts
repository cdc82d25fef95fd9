import type {
  Alarm,
  AlarmFacts,
  AlarmPriority,
  AlarmRule,
  AlarmState,
  AlarmTransition,
} from '../../../shared/model/alarm.ts';
import type { Condition } from './condition.ts';
import { alarmStep } from './machine.ts';

/** Everything an alarm must remember to go on after a restart as if there had been none. */
export type AlarmRecord = {
  readonly id: string;
  readonly placeId: string;
  readonly rule: AlarmRule;
  readonly priority: AlarmPriority;
  readonly state: AlarmState;
  /** one condition a probe, by probe id; the alarm's condition stands while any of them does */
  readonly conditions: Readonly<Record<number, Condition>>;
  readonly raisedAtMs: number | null;
  readonly acknowledgedAtMs: number | null;
  readonly returnedAtMs: number | null;
  readonly shelved: { readonly untilMs: number; readonly reason: string } | null;
  readonly facts: AlarmFacts | null;
};

/** A record after a step, and the transition it made, if any. */
export type AlarmStep = { readonly record: AlarmRecord; readonly transition: AlarmTransition | null };

const PRIORITY: Readonly<Record<AlarmRule, AlarmPriority>> = {
  'air-over-ceiling': 'high',
  'no-data': 'medium',
};

/** The alarm of a rule at a place, before anything has happened. */
export function newAlarm({ placeId, rule }: { placeId: string; rule: AlarmRule }): AlarmRecord {
  return {
    id: `${placeId}.${rule}`,
    placeId,
    rule,
    priority: PRIORITY[rule],
    state: 'normal',
    conditions: {},
    raisedAtMs: null,
    acknowledgedAtMs: null,
    returnedAtMs: null,
    shelved: null,
    facts: null,
  };
}

/** Moves the alarm by whether its condition stands at a time (ms since epoch). */
export function withCondition(record: AlarmRecord, now: { stands: boolean; atMs: number }): AlarmStep {
  const { state, transition } = alarmStep(record.state, { kind: 'condition', stands: now.stands });
  if (transition === 'raised') {
    const raised = { ...record, state, raisedAtMs: now.atMs, acknowledgedAtMs: null, returnedAtMs: null };
    return { record: raised, transition };
  }
  if (transition === 'returned') return { record: { ...record, state, returnedAtMs: now.atMs }, transition };
  return { record, transition };
}

/** A person confirms having seen the alarm; no effect on one that is normal or acknowledged already. */
export function withAcknowledgement(record: AlarmRecord, { atMs }: { atMs: number }): AlarmStep {
  const { state, transition } = alarmStep(record.state, { kind: 'acknowledge' });
  return transition
    ? { record: { ...record, state, acknowledgedAtMs: atMs }, transition }
    : { record, transition };
}

/** A person suppresses the alarm until a time; it is tracked on underneath. */
export function withShelving(record: AlarmRecord, shelved: { untilMs: number; reason: string }): AlarmStep {
  return { record: { ...record, shelved }, transition: 'shelved' };
}

/** Ends the shelving: by a person, or because its time is up. */
export function withoutShelving(record: AlarmRecord): AlarmStep {
  return record.shelved
    ? { record: { ...record, shelved: null }, transition: 'unshelved' }
    : { record, transition: null };
}

/** True while the alarm's condition stands, acknowledged or not. */
export function isActive({ state }: AlarmRecord): boolean {
  return state === 'unacknowledged' || state === 'acknowledged';
}

/** True while the alarm is shelved, so that nobody is told. */
export function isShelved(record: AlarmRecord, { nowMs }: { nowMs: number }): boolean {
  return record.shelved !== null && nowMs < record.shelved.untilMs;
}

/** The alarm as the page, the messages and the topics show it. */
export function alarmView(record: AlarmRecord, placeName: string): Alarm {
  const { conditions: _conditions, shelved, ...rest } = record;
  return {
    ...rest,
    placeName,
    shelvedUntilMs: shelved?.untilMs ?? null,
    shelvedReason: shelved?.reason ?? null,
  };
}
