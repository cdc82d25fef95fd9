import type { AlarmTransition } from '../../../../shared/model/alarms/alarm.ts';
import { CHATTER_QUIET_MS, RE_ALARM_MS } from '../../../../shared/rules/rules.ts';
import type { AlarmRecord, Chatter } from '../record.ts';

const MINUTE_MS = 60_000;
/**
 * An alarm that is raised so often in so short a time says nothing any more. Both are rules of thumb that public
 * summaries of ISA-18.2 give, no figure of the standard.
 */
const CHATTERING = [
  { times: 3, withinMs: MINUTE_MS },
  { times: 6, withinMs: 5 * MINUTE_MS },
] as const;
const REMEMBERED = Math.max(...CHATTERING.map(({ times }) => times));

type Happened = { readonly transition: AlarmTransition | null; readonly nowMs: number };

/**
 * Whether an alarm was raised so often in so short a time that it says nothing any more.
 * @param timesMs ascending, ms since epoch
 * @example isChattering([0, 20_000, 40_000]) // true
 */
export function isChattering(timesMs: readonly number[]): boolean {
  return firstOfMany(timesMs) !== null;
}

function firstOfMany(timesMs: readonly number[]): number | null {
  for (const { times, withinMs } of CHATTERING)
    for (let i = times - 1; i < timesMs.length; i += 1) {
      const first = timesMs[i - times + 1] as number;
      if ((timesMs[i] as number) - first <= withinMs) return first;
    }
  return null;
}

/**
 * Takes what happened to an alarm into what it remembers of its repeating. Chattering begins with the raising
 * that makes it so; that one is still announced, as repeating. An acknowledgement holds for what is raised
 * after it until the alarm would ask again.
 * @param record after the step
 */
export function withChatter(record: AlarmRecord, { transition, nowMs }: Happened): AlarmRecord {
  const before = record.chatter ?? null;
  if (transition === 'raised') return { ...record, chatter: raisedAgain(before, record, nowMs) };
  if (before === null) return record;
  if (transition === 'returned') return { ...record, chatter: { ...before, lastMs: nowMs } };
  if (transition !== 'acknowledged' || before.held === null) return record;
  return { ...record, chatter: { ...before, held: { ...before.held, acknowledgedAtMs: nowMs } } };
}

function raisedAgain(before: Chatter | null, record: AlarmRecord, nowMs: number): Chatter {
  const atMs = record.raisedAtMs ?? nowMs;
  const raisedMs = [...(before?.raisedMs ?? []), atMs].toSorted((a, b) => a - b).slice(-REMEMBERED);
  const held = before?.held ?? null;
  if (held) {
    const againMs = RE_ALARM_MS[record.priority];
    const seenMs = held.acknowledgedAtMs;
    const asks = seenMs !== null && againMs !== null && nowMs - seenMs >= againMs;
    const acknowledgedAtMs = asks ? null : seenMs;
    return { raisedMs, lastMs: nowMs, held: { ...held, times: held.times + 1, acknowledgedAtMs } };
  }
  const sinceMs = firstOfMany(raisedMs);
  if (sinceMs === null) return { raisedMs, lastMs: nowMs, held: null };
  const times = raisedMs.filter((ms) => ms >= sinceMs).length;
  return { raisedMs, lastMs: nowMs, held: { sinceMs, announcedMs: atMs, times, acknowledgedAtMs: null } };
}

/** True while an alarm repeats, and is announced once for all of it. */
function isHeld(record: AlarmRecord): boolean {
  return (record.chatter ?? null)?.held != null;
}

/** True for the raising, or the return, of an alarm that was announced already as repeating. */
export function isNotifiedAlready(
  record: AlarmRecord,
  { transition }: Pick<Happened, 'transition'>,
): boolean {
  const held = record.chatter?.held ?? null;
  if (held === null) return false;
  return transition === 'returned' || (transition === 'raised' && held.announcedMs !== record.raisedAtMs);
}

/** True once a held alarm has neither been raised nor returned for long enough to be announced again like any other. */
export function isChatterOver(record: AlarmRecord, { nowMs }: Pick<Happened, 'nowMs'>): boolean {
  const lastMs = record.chatter?.lastMs ?? nowMs;
  // noted by a clock that was ahead: it would be held for as long
  return isHeld(record) && (nowMs - lastMs >= CHATTER_QUIET_MS || lastMs - nowMs >= CHATTER_QUIET_MS);
}

/** The alarm announced like any other again. */
export function withoutChatter(record: AlarmRecord): AlarmRecord {
  return { ...record, chatter: null };
}

/**
 * The alarm as those who are called know it: while it is held one active raising, until it was quiet. Low
 * priority calls nobody, and is as it is.
 */
export function asCalled(record: AlarmRecord): AlarmRecord {
  const held = record.chatter?.held ?? null;
  if (held === null || record.priority === 'low') return record;
  return {
    ...record,
    state: held.acknowledgedAtMs === null ? 'unacknowledged' : 'acknowledged',
    raisedAtMs: held.announcedMs,
    returnedAtMs: null,
  };
}

/** True when a link about a raising is about the one that people know of now. */
export function isOfRaising(record: AlarmRecord, { raisedMs }: { raisedMs: number }): boolean {
  return record.raisedAtMs === raisedMs || record.chatter?.held?.announcedMs === raisedMs;
}
