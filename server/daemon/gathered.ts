import type { Person } from '../../shared/model/people.ts';
import { alarmSentence } from '../../shared/words/alarm.ts';
import type { AlarmRecord } from '../domain/alarms/record.ts';
import { messageKey, recipientOf, type TellContext } from './calling.ts';
import { viewOf } from './world-view.ts';

/** Puts out one message for several alarms, by each way of a person. */
export function putGathered(person: Person, records: readonly AlarmRecord[], context: TellContext): void {
  const { store, nowMs } = context;
  const body = gatheredBody(records, context);
  for (const way of person.ways) {
    const of = { alarmId: null, recipient: recipientOf(person, way), kind: 'alarm.gathered' };
    store.outbox.put({ key: messageKey(context), wayId: way.id, body, ...of, createdMs: nowMs });
  }
}

/** The payload shape of Standard Webhooks: type, timestamp, data. @source [STDWH] */
function gatheredBody(records: readonly AlarmRecord[], { world, settings, nowMs }: TellContext): string {
  const alarms = [...records]
    .sort((a, b) => (a.raisedAtMs ?? 0) - (b.raisedAtMs ?? 0))
    .map((record) => viewOf(record, world));
  const reader = { unit: 'C', timeZone: settings.timeZone, nowMs } as const;
  const subject = `${alarms.length} alarms at once: look at the page`;
  const message = alarms.map((alarm) => alarmSentence(alarm, reader)).join('\n');
  // `alarm` is the first of them: ways that name a message by its alarm keep several such apart
  const data = { alarm: alarms[0] ?? null, alarms, subject, message, answer: null, answerPath: null };
  return JSON.stringify({ type: 'alarm.gathered', timestamp: new Date(nowMs).toISOString(), data });
}
