import type { Alarm } from '../../../shared/model/alarms/alarm.ts';
import {
  type ContactMethod,
  INSTALLATION_WEBHOOK_ID,
  type Person,
} from '../../../shared/model/people/people.ts';
import type { CallText } from '../../../shared/words/calls.ts';
import { CONTACT_METHOD_WORDS } from '../../../shared/words/people.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import { LINK_LASTS_MS, linkText } from '../../domain/people/answer-link.ts';
import { type Call, callsNow, NOT_CALLED } from '../../domain/people/escalation.ts';
import { isDemo } from '../world/is-demo.ts';
import { viewOf } from '../world/world-view.ts';
import type { NotifyContext } from './context.ts';
import { type CallOf, houseText, textOf } from './messages/call-text.ts';

export type { NotifyContext, NotifySettings } from './context.ts';

/**
 * Sends the calls an alarm asks for now, inside the caller's transaction, and keeps what has been announced. Nobody is
 * called about the demo.
 */
export function callPeople(record: AlarmRecord, context: NotifyContext): void {
  const { store, settings, nowMs } = context;
  if (isDemo(record, context.world)) {
    store.people.saveCalling(record.id, NOT_CALLED, null);
    return;
  }
  const before = store.people.calling(record.id) ?? NOT_CALLED;
  const roster = store.people.roster();
  const mutedMethods =
    record.facts?.kind === 'way-failing' ? store.people.failing().map(({ wayId }) => wayId) : undefined;
  const { calling, calls, checkAgainMs } = callsNow(before, {
    record,
    roster,
    nowMs,
    zone: settings.timeZone,
    ...(mutedMethods === undefined ? {} : { mutedMethods }),
  });
  const addressed = new Set<string>();
  for (const call of calls)
    putCall(call, { record, roster, calling, before, mutedMethods: mutedMethods ?? [], addressed }, context);
  store.people.saveCalling(record.id, calling, checkAgainMs);
}

/** Sends one call by each contact method of the person. */
export function putCall(call: Call, of: CallOf, context: NotifyContext): void {
  const { record, roster, mutedMethods, addressed } = of;
  const { store, world } = context;
  const person = roster.people.find(({ id }) => id === call.personId);
  const alarm = viewOf(record, world);
  const text = textOf(call, of, context);
  for (const method of person?.ways ?? []) {
    if (!person || mutedMethods.includes(method.id)) continue;
    // what is still being tried need not be said twice
    if (call.why === 'repeated' && store.outbox.isWaiting({ wayId: method.id, alarmId: alarm.id })) continue;
    // one receiver that stands for several people need not be notified twice that it was acknowledged
    const address = JSON.stringify({ ...method, id: 0 });
    if (call.why === 'acknowledged' && addressed.has(address)) continue;
    addressed.add(address);
    const key = messageKey(context);
    const path =
      call.why === 'returned' || call.why === 'acknowledged'
        ? null
        : answerPath({ key, alarm, person }, context);
    const body = alarmBody(alarm, { transition: call.why, path, text, context });
    const [recipient, kind] = [recipientOf(person, method), `alarm.${call.why}`];
    const about = { alarmId: alarm.id, recipient, kind, createdMs: context.nowMs, priority: alarm.priority };
    store.outbox.put({ key, wayId: method.id, body, ...about });
  }
}

/** Notifies the webhook of the installation. */
export function notifyInstallation(alarm: Alarm, transition: string, context: NotifyContext): void {
  if (!context.settings.webhookSet) return;
  const text = houseText(alarm, transition, context);
  const body = alarmBody(alarm, { transition, path: null, text, context });
  context.store.outbox.put({
    key: messageKey(context),
    wayId: INSTALLATION_WEBHOOK_ID,
    alarmId: alarm.id,
    body,
    recipient: 'the webhook of this installation',
    kind: `alarm.${transition}`,
    createdMs: context.nowMs,
    priority: alarm.priority,
  });
}

/** A name no other message has had, the same at each attempt. @source [STDWH] no dots in it */
export function messageKey({ store, nowMs }: Pick<NotifyContext, 'store' | 'nowMs'>): string {
  return `alarm-${nowMs}-${store.outbox.nextId()}`;
}

/** To whom a message goes, as people read it. */
export function recipientOf({ name }: Pick<Person, 'name'>, { kind }: Pick<ContactMethod, 'kind'>): string {
  return `${name}, ${CONTACT_METHOD_WORDS[kind]}`;
}

type LinkOf = { readonly key: string; readonly alarm: Alarm; readonly person: Person };

/** The address on this page at which the person acknowledges this raising. */
function answerPath({ key, alarm, person }: LinkOf, { settings, nowMs }: NotifyContext): string | null {
  if (alarm.raisedAtMs === null) return null;
  const expiresMs = nowMs + LINK_LASTS_MS;
  const link = { id: key, alarmId: alarm.id, raisedMs: alarm.raisedAtMs, personId: person.id, expiresMs };
  return `/answer/${settings.links.seal.sign(linkText(link))}`;
}

type BodyOf = {
  readonly transition: string;
  readonly path: string | null;
  readonly text: CallText;
  readonly context: NotifyContext;
};

/** The payload shape of Standard Webhooks: type, timestamp, data. @source [STDWH] */
function alarmBody(alarm: Alarm, { transition, path, text, context }: BodyOf): string {
  const { nowMs, settings } = context;
  const { publicUrl } = settings.links;
  const answer = path === null || publicUrl === null ? null : publicUrl.replace(/\/$/, '') + path;
  const { words, subject, message } = text;
  const data = { alarm, words, subject, message, answer, answerPath: path };
  return JSON.stringify({ type: `alarm.${transition}`, timestamp: new Date(nowMs).toISOString(), data });
}
