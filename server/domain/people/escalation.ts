import type { Person, Roster } from '../../../shared/model/people/people.ts';
import { NOTICE_RULES } from '../../../shared/rules/ids.ts';
import { type AlarmRecord, isActive, isAnnunciated } from '../alarms/record.ts';
import { quietUntilMs } from './quiet.ts';

const MINUTE_MS = 60_000;

/** What has been announced of an alarm so far: all that must be remembered to go on after a restart. */
export type Calling = {
  /** the raising it is about, or null before the first */
  readonly raisedMs: number | null;
  /** since when it has been asking for an acknowledgement, or null while it does not */
  readonly askingSinceMs: number | null;
  /** whom it has called since then, and when last */
  readonly called: readonly { readonly personId: number; readonly lastMs: number }[];
  /** who was notified of this raising, and of its return */
  readonly notified: readonly number[];
  readonly notifiedOfReturn: readonly number[];
  /** who was called and is still to be notified that somebody else acknowledged it */
  readonly toNotifyOfAcknowledgement: readonly number[];
  /** whether it was on a morning sheet */
  readonly onMorningSheet: boolean;
};

export type Call = {
  readonly personId: number;
  readonly why: 'raised' | 'repeated' | 'acknowledged' | 'returned';
};
type CallsNow = {
  readonly calling: Calling;
  readonly calls: readonly Call[];
  /** when to look again, ms since epoch; null: not before the alarm or the escalation changes */
  readonly checkAgainMs: number | null;
};

/** Nobody was notified of anything. */
export const NOT_CALLED: Calling = {
  raisedMs: null,
  askingSinceMs: null,
  called: [],
  notified: [],
  notifiedOfReturn: [],
  toNotifyOfAcknowledgement: [],
  onMorningSheet: false,
};

export type CallQuestion = {
  readonly record: AlarmRecord;
  readonly roster: Roster;
  readonly nowMs: number;
  /** IANA time zone of the installation, for quiet hours */
  readonly zone: string;
  /** contact methods that are of no use for this alarm */
  readonly mutedMethods?: readonly number[];
};

/**
 * Decides whom to call about an alarm now, and when to look again: the first person of the escalation at once, the others after
 * their minutes without an acknowledgement; high priority again and again, through quiet hours; medium when they are
 * over; low not at all, it waits for the morning sheet. Who was called is notified when somebody else acknowledged it; who was
 * notified of a raising is notified of its return.
 * @param calling what has been announced so far
 * @param question the alarm as it is, who may be notified, and the time, ms since epoch
 * @returns what has been announced then, the calls to send, and when to look again
 */
export function callsNow(calling: Calling, question: CallQuestion): CallsNow {
  const { record } = question;
  const { nowMs } = question;
  const annunciated = isAnnunciated(record, { nowMs });
  const asks = annunciated && record.state === 'unacknowledged';
  const before = asks ? asking(calling, question) : answered(calling, question);
  if (asks && record.priority !== 'low') return climbed(before, question);
  if (annunciated && record.state === 'acknowledged') return acknowledged(before, question);
  if (annunciated && !isActive(record) && before.raisedMs !== null) return returned(before, question);
  return { calling: before, calls: [], checkAgainMs: null };
}

/** A new raising begins again; one that asks again, after an acknowledgement or a suppression, climbs again. */
function asking(calling: Calling, { record, nowMs }: CallQuestion): Calling {
  const raisedMs = record.raisedAtMs ?? nowMs;
  if (calling.raisedMs !== raisedMs) return { ...NOT_CALLED, raisedMs, askingSinceMs: nowMs };
  return calling.askingSinceMs === null
    ? { ...calling, askingSinceMs: nowMs, toNotifyOfAcknowledgement: [] }
    : calling;
}

/** It asks no more. If that is because acknowledged by somebody, the others who were called since it asked are to know. */
function answered(calling: Calling, { record, roster }: CallQuestion): Calling {
  const idle = { ...calling, askingSinceMs: null, called: [] };
  if (record.state !== 'acknowledged') return { ...idle, toNotifyOfAcknowledgement: [] };
  if (calling.askingSinceMs === null) return idle;
  const by = record.acknowledgedBy?.trim().toLowerCase();
  const taker = roster.people.find(({ name }) => name.trim().toLowerCase() === by)?.id;
  const others = calling.called.map(({ personId }) => personId).filter((id) => id !== taker);
  return { ...idle, toNotifyOfAcknowledgement: others };
}

function climbed(calling: Calling, question: CallQuestion): CallsNow {
  const { roster, record, nowMs } = question;
  const sinceMs = calling.askingSinceMs ?? nowMs;
  const calls: Call[] = [];
  const checks: number[] = [];
  const called = new Map(calling.called.map(({ personId, lastMs }) => [personId, lastMs]));
  for (const [position, { person, afterMin }] of reachableSteps(question).entries()) {
    const lastMs = called.get(person.id);
    const again = lastMs !== undefined;
    if (again && record.priority !== 'high') continue;
    const dueMs = again
      ? lastMs + roster.ladder.repeatMin * MINUTE_MS
      : sinceMs + (position === 0 ? 0 : afterMin * MINUTE_MS);
    const atMs = nowMs < dueMs ? dueMs : heldUntilMs(person, question);
    if (atMs !== null) {
      checks.push(atMs);
      continue;
    }
    calls.push({ personId: person.id, why: again ? 'repeated' : 'raised' });
    called.set(person.id, nowMs);
    if (record.priority === 'high') checks.push(nowMs + roster.ladder.repeatMin * MINUTE_MS);
  }
  const next = {
    ...calling,
    called: [...called].map(([personId, lastMs]) => ({ personId, lastMs })),
    notified: union(calling.notified, calls),
  };
  return { calling: next, calls, checkAgainMs: earliest(checks) };
}

function acknowledged(calling: Calling, question: CallQuestion): CallsNow {
  const { calls, held, checkAgainMs } = notificationsOf(
    'acknowledged',
    calling.toNotifyOfAcknowledgement,
    question,
  );
  return { calling: { ...calling, toNotifyOfAcknowledgement: held }, calls, checkAgainMs };
}

function returned(calling: Calling, question: CallQuestion): CallsNow {
  const toNotify = calling.notified.filter((personId) => !calling.notifiedOfReturn.includes(personId));
  const { calls, checkAgainMs } = notificationsOf('returned', toNotify, question);
  return {
    calling: { ...calling, notifiedOfReturn: union(calling.notifiedOfReturn, calls) },
    calls,
    checkAgainMs,
  };
}

/** Calls those who may be notified now; who is gone meanwhile is left out, who is left in peace is held. */
function notificationsOf(
  why: 'acknowledged' | 'returned',
  personIds: readonly number[],
  question: CallQuestion,
) {
  const calls: Call[] = [];
  const held: number[] = [];
  const checks: number[] = [];
  for (const personId of personIds) {
    const person = question.roster.people.find(({ id }) => id === personId);
    if (!person) continue;
    const atMs = heldUntilMs(person, question);
    if (atMs === null) calls.push({ personId, why });
    else {
      held.push(personId);
      checks.push(atMs);
    }
  }
  return { calls, held, checkAgainMs: earliest(checks) };
}

/** Steps of people who have a contact method that is of use: who has none is no step, and holds nobody up. */
function reachableSteps({ roster, mutedMethods = [] }: Pick<CallQuestion, 'roster' | 'mutedMethods'>) {
  return roster.ladder.steps.flatMap(({ personId, afterMin }) => {
    const person = roster.people.find(({ id }) => id === personId);
    return person?.ways.some(({ id }) => !mutedMethods.includes(id)) ? [{ person, afterMin }] : [];
  });
}

/**
 * Who is called for the first time when, unless somebody acknowledges before; nobody for an alarm that does not ask, or
 * of low priority.
 * @param calling what has been sent so far
 * @param question the alarm as it is, and who may be notified
 * @returns by person, ms since epoch, in the order of the list
 */
export function dueSteps(
  calling: Calling | null,
  question: Pick<CallQuestion, 'record' | 'roster' | 'nowMs'>,
): { readonly personId: number; readonly dueMs: number }[] {
  const { record, nowMs } = question;
  const asks = isAnnunciated(record, { nowMs }) && record.state === 'unacknowledged';
  if (!asks || record.priority === 'low') return [];
  const sinceMs = calling?.askingSinceMs ?? nowMs;
  const called = new Set(calling?.called.map(({ personId }) => personId));
  return reachableSteps(question).flatMap(({ person, afterMin }, position) =>
    called.has(person.id)
      ? []
      : [{ personId: person.id, dueMs: sinceMs + (position === 0 ? 0 : afterMin * MINUTE_MS) }],
  );
}

/** Until when a person is left in peace; null: may be notified now. Quiet hours never hold back high priority. */
export function heldUntilMs(
  { quiet }: Pick<Person, 'quiet'>,
  { record, nowMs, zone }: Pick<CallQuestion, 'record' | 'nowMs' | 'zone'>,
): number | null {
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
 * priority or over by now. An early notice that is over says nothing any more.
 * @param nowMs ms since epoch
 */
export function belongsOnMorningSheet(
  calling: Calling,
  { record, nowMs }: { record: AlarmRecord; nowMs: number },
): boolean {
  if (calling.raisedMs === null || calling.raisedMs !== record.raisedAtMs || calling.onMorningSheet)
    return false;
  if (calling.notified.length > 0 || record.acknowledgedAtMs !== null) return false;
  if (isNotice(record.rule) && !isActive(record)) return false;
  return isAnnunciated(record, { nowMs }) && (record.priority === 'low' || !isActive(record));
}

function isNotice(rule: AlarmRecord['rule']): boolean {
  return NOTICE_RULES.some((notice) => notice === rule);
}
