import type { Person } from '../../../shared/model/people/people.ts';
import type { HeldReason } from '../../../shared/wire/people.ts';
import { isActive, isAnnunciated } from '../alarms/record.ts';
import {
  belongsOnMorningSheet,
  type Calling,
  type CallQuestion,
  dueSteps,
  heldUntilMs,
  NOT_CALLED,
} from './escalation.ts';
import { sheetReaders } from './morning-sheet.ts';
import { nextMorningSheetMs, quietUntilMs } from './quiet.ts';

/** A message to somebody that would have been sent by now, why it was not, and when it will be, ms since epoch. */
export type HeldCall = { readonly personId: number; readonly why: HeldReason; readonly untilMs: number };

/**
 * The messages about an alarm that are held back now: by quiet hours, or for the morning sheet.
 * @param calling who has been notified so far, or null before anybody was
 * @param question the alarm as it is, who may be notified, and the day of the last morning sheet, YYYY-MM-DD
 */
export function heldCalls(
  calling: Calling | null,
  question: CallQuestion & { readonly lastSheetDay: string | null },
): HeldCall[] {
  const { record, roster, nowMs } = question;
  if (!isAnnunciated(record, { nowMs })) return [];
  const now = calling ?? { ...NOT_CALLED, raisedMs: record.raisedAtMs };
  if (belongsOnMorningSheet(now, { record, nowMs })) return onMorningSheet(question);
  if (record.priority === 'low') return [];
  return waitingFor(now, question).flatMap((personId) => {
    const person = roster.people.find(({ id }) => id === personId);
    const untilMs = person && person.ways.length > 0 ? heldUntilMs(person, question) : null;
    return untilMs === null ? [] : [{ personId, why: 'quiet-hours' as const, untilMs }];
  });
}

/** Who is to be notified now, and was not yet. */
function waitingFor(calling: Calling, question: CallQuestion): readonly number[] {
  const { record, nowMs } = question;
  if (record.state === 'acknowledged') return calling.toNotifyOfAcknowledgement;
  if (!isActive(record))
    return calling.notified.filter((personId) => !calling.notifiedOfReturn.includes(personId));
  return dueSteps(calling, question).flatMap(({ personId, dueMs }) => (dueMs <= nowMs ? [personId] : []));
}

/** The sheet goes to the first of the escalation, after their quiet hours. */
function onMorningSheet(question: CallQuestion & { readonly lastSheetDay: string | null }): HeldCall[] {
  const { roster, nowMs, zone, lastSheetDay } = question;
  const { morningAt } = roster.ladder;
  const sheetMs = nextMorningSheetMs({ morningAt, nowMs, zone, lastDay: lastSheetDay });
  const untilMs = ({ quiet }: Person) => quietUntilMs({ quiet, nowMs: sheetMs, zone }) ?? sheetMs;
  return sheetReaders(roster).map((person) => ({
    personId: person.id,
    why: 'morning-sheet',
    untilMs: untilMs(person),
  }));
}
