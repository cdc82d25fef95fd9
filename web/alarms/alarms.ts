import type { Alarm, AlarmState, AlarmTransition } from '../../shared/model/alarms/alarm.ts';
import type { AlarmPriority } from '../../shared/rules/rules.ts';
import type { Known } from '../frame/apply.ts';

export const TRANSITION_WORDS: Readonly<Record<AlarmTransition, string>> = {
  raised: 'raised',
  acknowledged: 'acknowledged',
  returned: 'returned to normal',
  shelved: 'shelved',
  unshelved: 'unshelved',
  're-alarmed': 'asked again',
  'priority-raised': 'priority raised to high',
  reset: 'reset',
  suppressed: 'suppressed by design',
  unsuppressed: 'no longer suppressed',
  'out-of-service': 'taken out of service',
  'in-service': 'put back in service',
  'not-judged': 'ended: no longer judged',
  'judged-again': 'judged again',
};

/** from here on an alarm is put aside */
export const SHELVED_RANK = 20;
const PRIORITY_RANK: Readonly<Record<AlarmPriority, number>> = { high: 0, medium: 1, low: 2 };
const STATE_RANK: Readonly<Record<AlarmState, number>> = {
  unacknowledged: 0,
  'returned-unacknowledged': 3,
  'latched-unacknowledged': 3,
  acknowledged: 6,
  'latched-acknowledged': 6,
  normal: 9,
};

/** States in which an alarm asks for an acknowledgement. */
export const UNANSWERED: readonly AlarmState[] = [
  'unacknowledged',
  'returned-unacknowledged',
  'latched-unacknowledged',
];

/** The place and the rule that the id of an alarm names. */
export function partsOfAlarmId(alarmId: string): readonly [string, string] {
  const at = alarmId.lastIndexOf('.');
  return [alarmId.slice(0, Math.max(0, at)), alarmId.slice(at + 1)];
}

/** Whether an alarm is put aside at a moment. */
export function isShelved(alarm: Alarm, nowMs: number): boolean {
  return alarm.shelvedUntilMs !== null && alarm.shelvedUntilMs > nowMs;
}

/** Whether something keeps an alarm from asking for attention: a person, maintenance, or another alarm that is announced for it. */
export function isSuppressed(alarm: Alarm, nowMs: number): boolean {
  if (alarm.suppression === 'by-design' || alarm.suppression === 'out-of-service') return true;
  return isShelved(alarm, nowMs);
}

/** Whether an alarm has anything to say: it is active, it cleared unseen, or it repeats. */
export function isActiveAlarm(alarm: Alarm): boolean {
  return alarm.state !== 'normal' || alarm.comesAndGoes !== undefined;
}

/** Whether an alarm's condition is over, seen or not. */
export function isReturned({ state }: Alarm): boolean {
  return state !== 'unacknowledged' && state !== 'acknowledged';
}

/** Whether a person should go now: it is unacknowledged and not put aside. */
export function needsHand(alarm: Alarm, nowMs: number): boolean {
  return alarm.state === 'unacknowledged' && !isSuppressed(alarm, nowMs);
}

/** Urgency of an alarm: 0 is the most urgent; a shelved one comes after all that are not. */
export function alarmRank(alarm: Alarm, nowMs: number): number {
  return (
    STATE_RANK[alarm.state] + PRIORITY_RANK[alarm.priority] + (isSuppressed(alarm, nowMs) ? SHELVED_RANK : 0)
  );
}

/** Active alarms, most urgent first, then the newest. */
export function activeAlarms(alarms: readonly Alarm[], nowMs: number): Alarm[] {
  return alarms
    .filter(isActiveAlarm)
    .sort((a, b) => alarmRank(a, nowMs) - alarmRank(b, nowMs) || (b.raisedAtMs ?? 0) - (a.raisedAtMs ?? 0));
}

/** Shelving times on offer, in minutes; the daemon holds the limit. */
export function shelveChoicesMinutes(priority: AlarmPriority): readonly number[] {
  if (priority === 'high') return [15, 30, 60, 120];
  return priority === 'medium' ? [30, 60, 240, 480] : [60, 240, 480, 1440];
}

/**
 * What the page knows once the daemon has answered an acknowledgement: who and when, beside what the live feed said of the
 * alarm meanwhile. An answer about an earlier raising, or to what is acknowledged already, changes nothing.
 */
export function withAnswer(known: Known, answered: Alarm): Known {
  const { id, raisedAtMs, state, acknowledgedAtMs, acknowledgedBy } = answered;
  const alarms = known.alarms.map((alarm) => {
    const isOfIt = alarm.id === id && alarm.raisedAtMs === raisedAtMs && UNANSWERED.includes(alarm.state);
    return isOfIt ? { ...alarm, state, acknowledgedAtMs, acknowledgedBy } : alarm;
  });
  return { ...known, alarms };
}
