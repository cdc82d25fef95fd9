import type { Alarm } from '../../../shared/model/alarms/alarm.ts';
import type { Person } from '../../../shared/model/people/people.ts';
import { alarmSentence } from '../../../shared/words/alarm.ts';
import { takenWords } from '../../../shared/words/people.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import { viewOf } from '../world/world-view.ts';
import { messageKey, type NotifyContext, recipientOf } from './calling.ts';

/** Several alarms at once; `taken` when what is to be said is that somebody has taken them. */
type Digest = { readonly records: readonly AlarmRecord[]; readonly acknowledged: boolean };

/** Sends one message for several alarms, by each contact method of a person. */
export function putDigest(person: Person, digest: Digest, context: NotifyContext): void {
  const { store, nowMs } = context;
  const body = digestBody(digest, context);
  for (const method of person.ways) {
    const of = { alarmId: null, recipient: recipientOf(person, method), kind: 'alarm.gathered' };
    store.outbox.put({ key: messageKey(context), wayId: method.id, body, ...of, createdMs: nowMs });
  }
}

/** The payload shape of Standard Webhooks: type, timestamp, data. @source [STDWH] */
function digestBody({ records, acknowledged }: Digest, { world, settings, nowMs }: NotifyContext): string {
  const alarms = [...records]
    .sort((a, b) => (a.raisedAtMs ?? 0) - (b.raisedAtMs ?? 0))
    .map((record) => viewOf(record, world));
  const reader = { unit: 'C', timeZone: settings.timeZone, nowMs } as const;
  const subject = acknowledged
    ? `${alarms.length} alarms acknowledged; nobody else will be called`
    : `${alarms.length} alarms at once: look at the page`;
  const line = (alarm: Alarm) =>
    acknowledged
      ? `${takenWords(alarm, reader)}: ${alarmSentence(alarm, reader)}`
      : alarmSentence(alarm, reader);
  const message = alarms.map(line).join('\n');
  // `alarm` is the first of them: contact methods that name a message by its alarm keep several such apart
  const data = { alarm: alarms[0] ?? null, alarms, subject, message, answer: null, answerPath: null };
  return JSON.stringify({ type: 'alarm.gathered', timestamp: new Date(nowMs).toISOString(), data });
}
