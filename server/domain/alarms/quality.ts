import { medianOf } from '../../../shared/exposure/sample.ts';
import type { AlarmTransition } from '../../../shared/model/alarms/alarm.ts';
import { ALARM_TARGETS } from '../../../shared/model/alarms/alarm-targets.ts';
import type { AlarmPriority } from '../../../shared/rules/rules.ts';
import type { AlarmQuality } from '../../../shared/wire/alarms/alarm-quality.ts';
import { isChattering } from './nuisance/chatter.ts';

/** Something that happened to an alarm, with what is needed to count it; `told` is false while it was suppressed. */
export type CountedEvent = {
  readonly alarmId: string;
  readonly placeId: string | null;
  readonly priority: AlarmPriority;
  readonly transition: AlarmTransition;
  readonly atMs: number;
  readonly told: boolean;
};

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
const STALE_MS = DAY_MS;
const FLEETING_MS = 2 * MINUTE_MS;
const BACK_SOON_MS = 10 * MINUTE_MS;

/** One time an alarm was announced: from when, until its condition was over, and when somebody answered. */
type Notification = {
  readonly alarmId: string;
  readonly placeId: string | null;
  readonly priority: AlarmPriority;
  readonly fromMs: number;
  readonly returnedMs: number | null;
  readonly acknowledgedMs: number | null;
};

/**
 * How the alarms of a span behaved, against the targets.
 * @param events in the order they happened, from before the span on if they bear on it
 * @param span ms since epoch; `nowMs` is when the counting is done
 */
export function alarmQuality(
  events: readonly CountedEvent[],
  { fromMs, toMs, nowMs }: { fromMs: number; toMs: number; nowMs: number },
): AlarmQuality {
  const all = notificationsIn(events);
  const notifications = all.filter((one) => one.fromMs >= fromMs && one.fromMs < toMs);
  const days = Math.max(toMs - fromMs, MINUTE_MS) / DAY_MS;
  const answered = notifications.flatMap(({ fromMs: at, acknowledgedMs: seen }) =>
    seen === null ? [] : [(seen - at) / MINUTE_MS],
  );
  const perDay = notifications.length / days;
  const highPerWeekAtWorst = highAtWorst(notifications) / Math.max(days / 7, 1);
  return {
    from: new Date(fromMs).toISOString(),
    to: new Date(toMs).toISOString(),
    told: notifications.length,
    perDay,
    byPriority: byPriority(notifications),
    highPerWeekAtWorst,
    chattering: chatteringIn(notifications),
    fleeting: notifications.filter((one) => isFleeting(one, all)).length,
    stale: notifications.filter((one) => (one.returnedMs ?? nowMs) - one.fromMs > STALE_MS).length,
    medianAcknowledgeMin: medianOf(answered),
    longestAcknowledgeMin: answered.length === 0 ? null : Math.max(...answered),
    unanswered: notifications.length - answered.length,
    meetsTargets: perDay <= ALARM_TARGETS.perDay && highPerWeekAtWorst <= ALARM_TARGETS.highPerWeekAndPlace,
  };
}

const BEGINS: ReadonlySet<AlarmTransition> = new Set(['raised', 'unsuppressed', 'unshelved', 'in-service']);

function notificationsIn(events: readonly CountedEvent[]): Notification[] {
  const notifications: Notification[] = [];
  const open = new Map<string, number>();
  // alarms whose present raising is high by harm
  const high = new Set<string>();
  for (const { alarmId, transition, atMs, told: notified, placeId, priority } of events) {
    if (transition === 'raised') {
      high.delete(alarmId);
      // what happens to a raising that was announced to nobody is nothing of the one before
      if (!notified) open.delete(alarmId);
    }
    if (transition === 'priority-raised') high.add(alarmId);
    const at = open.get(alarmId);
    const now = at === undefined ? undefined : notifications[at];
    if (BEGINS.has(transition) && notified && (transition === 'raised' || now?.returnedMs === undefined)) {
      open.set(alarmId, notifications.length);
      notifications.push({
        alarmId,
        placeId,
        priority: high.has(alarmId) ? 'high' : priority,
        fromMs: atMs,
        returnedMs: null,
        acknowledgedMs: null,
      });
    } else if (at !== undefined && now) {
      if (transition === 'returned' || transition === 'not-judged')
        notifications[at] = { ...now, returnedMs: now.returnedMs ?? atMs };
      if (transition === 'acknowledged')
        notifications[at] = { ...now, acknowledgedMs: now.acknowledgedMs ?? atMs };
      if (transition === 'priority-raised') notifications[at] = { ...now, priority: 'high' };
    }
  }
  return notifications;
}

function byPriority(notifications: readonly Notification[]): Record<AlarmPriority, number> {
  const counts = { high: 0, medium: 0, low: 0 };
  for (const { priority } of notifications) counts[priority] += 1;
  return counts;
}

function highAtWorst(notifications: readonly Notification[]): number {
  const counts = new Map<string | null, number>();
  for (const { placeId, priority } of notifications)
    if (priority === 'high') counts.set(placeId, (counts.get(placeId) ?? 0) + 1);
  return Math.max(0, ...counts.values());
}

function chatteringIn(notifications: readonly Notification[]): number {
  const times = new Map<string, number[]>();
  for (const { alarmId, fromMs } of notifications)
    times.set(alarmId, [...(times.get(alarmId) ?? []), fromMs]);
  return [...times.values()].filter(isChattering).length;
}

function isFleeting(one: Notification, all: readonly Notification[]): boolean {
  if (one.returnedMs === null || one.returnedMs - one.fromMs > FLEETING_MS) return false;
  const overMs = one.returnedMs;
  return !all.some(
    ({ alarmId, fromMs }) =>
      alarmId === one.alarmId && fromMs > one.fromMs && fromMs - overMs <= BACK_SOON_MS,
  );
}
