import type { LinkAbout } from '../../../shared/wire/answer.ts';
import { type CalledPerson, calledLine, stateLine } from '../../../shared/words/answer.ts';
import { heldWords } from '../../../shared/words/calls.ts';
import { CONTACT_METHOD_WORDS } from '../../../shared/words/people.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import { dueSteps } from '../../domain/people/escalation.ts';
import type { SentMessage } from '../../ports.ts';
import { wordsNow } from '../notify/messages/call-text.ts';
import { heldMessages } from '../notify/messages/held.ts';
import { lastHourOf } from '../readout/alarms/last-hour.ts';
import { viewOf } from '../world/world-view.ts';
import type { OrderContext } from './orders.ts';

/** Messages of one alarm that are looked through, the newest. */
const MOST_MESSAGES = 200;

/** The alarm a link is about, as it is now: its state, what to do first, the last hour, and who was called. */
export function linkAbout(record: AlarmRecord, personId: number, context: OrderContext): LinkAbout {
  const { world, store, settings, clock } = context;
  const { timeZone } = settings;
  const nowMs = clock.nowMs();
  const reader = { unit: 'C', timeZone, nowMs } as const;
  const { detail, action } = wordsNow(record, { world, store, settings, nowMs });
  const held = heldMessages(record, { world, store, settings, nowMs });
  const isHeld = (name: string) => held.some(({ to }) => to === name);
  return {
    ...stateLine(viewOf(record, world), reader),
    detail,
    action,
    lastHour: lastHourOf(record, nowMs, { world, store, timeZone }),
    people: [
      ...called(record, personId, context)
        // whose first message is held back has a line that says so
        .filter(({ name, calledMs }) => calledMs.length > 0 || !isHeld(name))
        .map((one) => calledLine(one, reader)),
      ...held.map(({ to, why, until }) => `${heldWords({ to, why, untilMs: Date.parse(until) }, reader)}.`),
    ],
    at: new Date(nowMs).toISOString(),
    timeZone,
  };
}

/** Everybody on the list and everybody who was called about this raising, in the order of the list. */
function called(record: AlarmRecord, you: number, { store, clock }: OrderContext): CalledPerson[] {
  const roster = store.people.roster();
  const nowMs = clock.nowMs();
  const sinceMs = record.chatter?.held?.announcedMs ?? record.raisedAtMs ?? nowMs;
  const messages = store.outbox
    .ofAlarm(record.id, MOST_MESSAGES)
    .filter(({ createdMs, kind }) => createdMs >= sinceMs && /^alarm\.(raised|repeated)$/.test(kind))
    .toReversed();
  const steps = dueSteps(store.people.calling(record.id), { record, roster, nowMs });
  const order = roster.ladder.steps.map(({ personId }) => personId);
  return roster.people
    .toSorted((a, b) => placeIn(order, a.id) - placeIn(order, b.id))
    .flatMap(({ id, name, ways: methods }) => {
      const own = messages.filter(({ wayId }) => methods.some((method) => method.id === wayId));
      const nextMs = steps.find((step) => step.personId === id)?.dueMs ?? null;
      const acknowledgedMs = isBy(record, name) ? record.acknowledgedAtMs : null;
      if (own.length === 0 && nextMs === null && acknowledgedMs === null) return [];
      const kinds = methods.filter((method) => own.some(({ wayId }) => wayId === method.id));
      return {
        name,
        you: id === you,
        calledMs: [...new Set(own.map(({ createdMs }) => createdMs))],
        by: [...new Set(kinds.map(({ kind }) => CONTACT_METHOD_WORDS[kind]))],
        failed: failureOf(own),
        acknowledgedMs,
        nextMs,
      };
    });
}

function placeIn(order: readonly number[], personId: number): number {
  const place = order.indexOf(personId);
  return place < 0 ? order.length : place;
}

function isBy({ state, acknowledgedBy }: AlarmRecord, name: string): boolean {
  return state === 'acknowledged' && acknowledgedBy?.trim().toLowerCase() === name.trim().toLowerCase();
}

/** Why nothing has got through, where the newest message has not. */
function failureOf(messages: readonly SentMessage[]): string | null {
  const last = messages.at(-1);
  if (!last || last.state === 'sent') return null;
  return last.lastError;
}
