import type { Alarm } from '../../../shared/model/alarms/alarm.ts';
import { alarmSentence } from '../../../shared/words/alarm.ts';
import { belongsOnMorningSheet } from '../../domain/people/escalation.ts';
import { morningSheetDayDue, quietUntilMs } from '../../domain/people/quiet.ts';
import { viewOf } from '../world/world-view.ts';
import { messageKey, type NotifyContext, recipientOf } from './calling.ts';

/** Sends the morning sheet when it is due: what could wait for it, in one message to the first person of the escalation. */
export function sendMorningSheet(context: NotifyContext): void {
  const { store, world, settings, nowMs } = context;
  const { people, ladder: escalation } = store.people.roster();
  const lastDay = store.people.morningSheetDay();
  const zone = settings.timeZone;
  const day = morningSheetDayDue({ morningAt: escalation.morningAt, nowMs, zone, lastDay });
  if (day === null) return;
  const firstMin = escalation.steps[0]?.afterMin;
  const first = escalation.steps
    .filter(({ afterMin }) => afterMin === firstMin)
    .map(({ personId }) => personId);
  const readers = people.filter(({ id, ways: methods }) => first.includes(id) && methods.length > 0);
  store.carryOn(() => {
    store.people.setMorningSheetDay(day);
    // before the first sheet there was no morning to wait for
    if (lastDay === null || readers.length === 0) return;
    const waiting = [...world.alarms.values()].flatMap((record) => {
      const calling = store.people.calling(record.id);
      return calling && belongsOnMorningSheet(calling, { record, nowMs }) ? [{ record, calling }] : [];
    });
    if (waiting.length === 0) return;
    const body = morningSheetBody(
      waiting.map(({ record }) => viewOf(record, world)),
      context,
    );
    for (const person of readers) {
      const until = quietUntilMs({ quiet: person.quiet, nowMs, zone });
      for (const method of person.ways) {
        const of = {
          wayId: method.id,
          alarmId: null,
          recipient: recipientOf(person, method),
          kind: 'sheet.morning',
        };
        const sending = { createdMs: nowMs, notBeforeMs: until ?? nowMs, priority: 'low' as const };
        store.outbox.put({ key: messageKey(context), body, ...of, ...sending });
      }
    }
    for (const { record, calling } of waiting)
      store.people.saveCalling(record.id, { ...calling, onMorningSheet: true }, null);
  });
}

function morningSheetBody(alarms: readonly Alarm[], { settings, nowMs }: NotifyContext): string {
  const sentences = alarms.map((alarm) =>
    alarmSentence(alarm, { unit: 'C', timeZone: settings.timeZone, nowMs }),
  );
  const things = alarms.length === 1 ? '1 thing' : `${alarms.length} things`;
  const subject = `Morning sheet: ${things} that could wait until now`;
  const data = {
    alarm: null,
    alarms,
    subject,
    message: sentences.join('\n'),
    answer: null,
    answerPath: null,
  };
  return JSON.stringify({ type: 'sheet.morning', timestamp: new Date(nowMs).toISOString(), data });
}
