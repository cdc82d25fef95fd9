import type { Person, Roster } from '../../../shared/model/people/people.ts';
import { type AlarmRecord, isActive, isAnnunciated } from '../alarms/record.ts';
import { quietUntilMs } from './quiet.ts';

const MINUTE_MS = 60_000;

/** What has been told of an alarm so far: all that must be remembered to go on after a restart. */
export type Calling = {
  /** the raising it is about, or null before the first */
  readonly raisedMs: number | null;
  /** since when it has been asking for an acknowledgement, or null while it does not */
  readonly askingSinceMs: number | null;
  /** whom it has called since then, and when last */
  readonly called: readonly { readonly personId: number; readonly lastMs: number }[];
  /** who was notified of this raising, and of its return */
  readonly told: readonly number[];
  readonly toldOfReturn: readonly number[];
  /** who was called and is still to be told that somebody else acknowledged it */
  readonly toTellOfTaking: readonly number[];
  /** whether it stood on a morning sheet */
  readonly onSheet: boolean;
};

export type Call = {
  readonly personId: number;
  readonly why: 'raised' | 'repeated' | 'acknowledged' | 'returned';
};
export type CallsNow = {
  readonly calling: Calling;
  readonly calls: readonly Call[];
  /** when to look again, ms since epoch; null: not before the alarm or the ladder changes */
  readonly lookAgainMs: number | null;
};

/** Nobody was notified of anything. */
export const NOT_CALLED: Calling = {
  raisedMs: null,
  askingSinceMs: null,
  called: [],
  told: [],
  toldOfReturn: [],
  toTellOfTaking: [],
  onSheet: false,
};

export type CallQuestion = {
  readonly record: AlarmRecord;
  readonly roster: Roster;
  readonly nowMs: number;
  /** IANA time zone of the house, for quiet hours */
  readonly zone: string;
  /** ways that are of no use for this alarm */
  readonly mutedWays?: readonly number[];
};

/**
 * Decides whom to call about an alarm now, and when to look again: the first on the ladder at once, the others after
 * their minutes without an acknowledgement; high priority again and again, through quiet hours; medium when they are
 * over; low not at all, it waits for the morning sheet. Who was called is told when somebody else acknowledged it; who was
 * told of a raising is told of its return.
 * @param calling what has been told so far
 * @param question the alarm as it is, who may be told, and the time, ms since epoch
 * @returns what is told then, the calls to put out, and when to look again
 */
export function callsNow(calling: Calling, question: CallQuestion): CallsNow {
  const { record } = question;
  const { nowMs } = question;
  const annunciated = isAnnunciated(record, { nowMs });
  const asks = annunciated && record.state === 'unacknowledged';
  const before = asks ? asking(calling, question) : answered(calling, question);
  if (asks && record.priority !== 'low') return climbed(before, question);
  if (annunciated && record.state === 'acknowledged') return taken(before, question);
  if (annunciated && !isActive(record) && before.raisedMs !== null) return returned(before, question);
  return { calling: before, calls: [], lookAgainMs: null };
}

/** A new raising begins anew; one that asks again, after an acknowledgement or a suppression, climbs anew. */
function asking(calling: Calling, { record, nowMs }: CallQuestion): Calling {
  const raisedMs = record.raisedAtMs ?? nowMs;
  if (calling.raisedMs !== raisedMs) return { ...NOT_CALLED, raisedMs, askingSinceMs: nowMs };
  return calling.askingSinceMs === null ? { ...calling, askingSinceMs: nowMs, toTellOfTaking: [] } : calling;
}

/** It asks no more. If that is because acknowledged by somebody, the others who were called since it asked are to know. */
function answered(calling: Calling, { record, roster }: CallQuestion): Calling {
  const quietly = { ...calling, askingSinceMs: null, called: [] };
  if (record.state !== 'acknowledged') return { ...quietly, toTellOfTaking: [] };
  if (calling.askingSinceMs === null) return quietly;
  const by = record.acknowledgedBy?.trim().toLowerCase();
  const taker = roster.people.find(({ name }) => name.trim().toLowerCase() === by)?.id;
  const others = calling.called.map(({ personId }) => personId).filter((id) => id !== taker);
  return { ...quietly, toTellOfTaking: others };
}

function climbed(calling: Calling, question: CallQuestion): CallsNow {
  const { roster, record, nowMs } = question;
  const sinceMs = calling.askingSinceMs ?? nowMs;
  const calls: Call[] = [];
  const looks: number[] = [];
  const called = new Map(calling.called.map(({ personId, lastMs }) => [personId, lastMs]));
  for (const [rung, { person, afterMin }] of reachableSteps(question).entries()) {
    const lastMs = called.get(person.id);
    const again = lastMs !== undefined;
    if (again && record.priority !== 'high') continue;
    const dueMs = again
      ? lastMs + roster.ladder.repeatMin * MINUTE_MS
      : sinceMs + (rung === 0 ? 0 : afterMin * MINUTE_MS);
    const atMs = nowMs < dueMs ? dueMs : heldUntilMs(person, question);
    if (atMs !== null) {
      looks.push(atMs);
      continue;
    }
    calls.push({ personId: person.id, why: again ? 'repeated' : 'raised' });
    called.set(person.id, nowMs);
    if (record.priority === 'high') looks.push(nowMs + roster.ladder.repeatMin * MINUTE_MS);
  }
  const next = {
    ...calling,
    called: [...called].map(([personId, lastMs]) => ({ personId, lastMs })),
    told: union(calling.told, calls),
  };
  return { calling: next, calls, lookAgainMs: earliest(looks) };
}

function taken(calling: Calling, question: CallQuestion): CallsNow {
  const { calls, held, lookAgainMs } = toldOf('acknowledged', calling.toTellOfTaking, question);
  return { calling: { ...calling, toTellOfTaking: held }, calls, lookAgainMs };
}

function returned(calling: Calling, question: CallQuestion): CallsNow {
  const toTell = calling.told.filter((personId) => !calling.toldOfReturn.includes(personId));
  const { calls, lookAgainMs } = toldOf('returned', toTell, question);
  return { calling: { ...calling, toldOfReturn: union(calling.toldOfReturn, calls) }, calls, lookAgainMs };
}

/** Calls those who may be told now; who is gone meanwhile is left out, who is left in peace is held. */
function toldOf(why: 'acknowledged' | 'returned', personIds: readonly number[], question: CallQuestion) {
  const calls: Call[] = [];
  const held: number[] = [];
  const looks: number[] = [];
  for (const personId of personIds) {
    const person = question.roster.people.find(({ id }) => id === personId);
    if (!person) continue;
    const atMs = heldUntilMs(person, question);
    if (atMs === null) calls.push({ personId, why });
    else {
      held.push(personId);
      looks.push(atMs);
    }
  }
  return { calls, held, lookAgainMs: earliest(looks) };
}

/** Steps of people who have a way that is of use: who has none is no step, and holds nobody up. */
function reachableSteps({ roster, mutedWays = [] }: CallQuestion) {
  return roster.ladder.steps.flatMap(({ personId, afterMin }) => {
    const person = roster.people.find(({ id }) => id === personId);
    return person?.ways.some(({ id }) => !mutedWays.includes(id)) ? [{ person, afterMin }] : [];
  });
}

/** Until when a person is left in peace; null: may be told now. Quiet hours never hold back high priority. */
function heldUntilMs({ quiet }: Person, { record, nowMs, zone }: CallQuestion): number | null {
  return record.priority === 'high' ? null : quietUntilMs({ quiet, nowMs, zone });
}

function union(before: readonly number[], calls: readonly Call[]): readonly number[] {
  return [...new Set([...before, ...calls.map(({ personId }) => personId)])];
}

function earliest(times: readonly number[]): number | null {
  return times.length === 0 ? null : Math.min(...times);
}

/**
 * Whether an alarm belongs on the next morning sheet: it was raised, nobody was notified or has seen it, and it is of low
 * priority or over by now.
 * @param nowMs ms since epoch
 */
export function belongsOnSheet(
  calling: Calling,
  { record, nowMs }: { record: AlarmRecord; nowMs: number },
): boolean {
  if (calling.raisedMs === null || calling.raisedMs !== record.raisedAtMs || calling.onSheet) return false;
  if (calling.told.length > 0 || record.acknowledgedAtMs !== null) return false;
  return isAnnunciated(record, { nowMs }) && (record.priority === 'low' || !isActive(record));
}
