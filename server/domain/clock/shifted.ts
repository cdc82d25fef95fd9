import type { Condition } from '../alarms/condition.ts';
import type { AlarmRecord } from '../alarms/record.ts';
import type { Calling } from '../people/escalation.ts';
import type { LatestReadings } from '../present/latest-readings.ts';

/*
 * When the wall clock is set, what waits goes on waiting for as long as before: the moments it counts from and to move
 * with the clock. When an alarm was raised stays as it was announced: links, callings and its history name it by that.
 */

/** An alarm as it goes on after the clock was set, by so many ms. */
export function shiftedAlarm(record: AlarmRecord, byMs: number): AlarmRecord {
  const { conditions, shelved, chatter, acknowledgedAtMs } = record;
  const moved = Object.entries(conditions).map(([source, one]) => [source, shiftedCondition(one, byMs)]);
  return {
    ...record,
    conditions: Object.fromEntries(moved),
    acknowledgedAtMs: acknowledgedAtMs === null ? null : acknowledgedAtMs + byMs,
    shelved: shelved === null ? null : { ...shelved, untilMs: shelved.untilMs + byMs },
    ...(chatter ? { chatter: shiftedChatter(chatter, byMs) } : {}),
  };
}

function shiftedCondition(condition: Condition, byMs: number): Condition {
  return { ...condition, sinceMs: condition.sinceMs + byMs, lastMs: condition.lastMs + byMs };
}

function shiftedChatter(chatter: NonNullable<AlarmRecord['chatter']>, byMs: number) {
  const { raisedMs, lastMs, held } = chatter;
  const seenMs = held?.acknowledgedAtMs ?? null;
  return {
    raisedMs: raisedMs.map((atMs) => atMs + byMs),
    lastMs: lastMs + byMs,
    held: held === null ? null : { ...held, acknowledgedAtMs: seenMs === null ? null : seenMs + byMs },
  };
}

/** What was announced of an alarm as it goes on after the clock was set, by so many ms. */
export function shiftedCalling(calling: Calling, byMs: number): Calling {
  const { askingSinceMs, called } = calling;
  return {
    ...calling,
    askingSinceMs: askingSinceMs === null ? null : askingSinceMs + byMs,
    called: called.map((one) => ({ ...one, lastMs: one.lastMs + byMs })),
  };
}

/** What is remembered of a probe as it goes on after the clock was set, by so many ms. */
export function shiftedLatest(latest: LatestReadings, byMs: number): LatestReadings {
  const { deliveredAtMs } = latest;
  return {
    ...latest,
    tMs: latest.tMs + byMs,
    runFromMs: latest.runFromMs + byMs,
    recent: latest.recent.map(({ tMs, value }) => ({ tMs: tMs + byMs, value })),
    deliveredAtMs: deliveredAtMs === null ? null : deliveredAtMs + byMs,
  };
}
