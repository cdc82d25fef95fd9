import type { Alarm } from '../../../shared/model/alarms/alarm.ts';
import type { MorningSheet } from '../../../shared/wire/morning-sheet.ts';
import { alarmSentence } from '../../../shared/words/alarm.ts';
import { latelyTogether } from '../../../shared/words/lately.ts';
import { morningSheetOf } from '../../../shared/words/morning/sheet.ts';
import { asSentence } from '../../../shared/words/plain.ts';
import { belongsOnMorningSheet } from '../../domain/people/escalation.ts';
import { MORNING_SHEET, sheetReaders } from '../../domain/people/morning-sheet.ts';
import { morningSheetDayDue, quietUntilMs } from '../../domain/people/quiet.ts';
import { viewOf } from '../world/world-view.ts';
import { messageKey, type NotifyContext, recipientOf } from './calling.ts';
import { dueStepLines } from './messages/due-steps.ts';

/** More of one place are counted only. */
const MOST_NAMED = 4;

/**
 * Sends the morning sheet when it is due: what could wait for it, and what harmed a place or could not be seen since the
 * last, in one message to the first person of the escalation.
 */
export function sendMorningSheet(context: NotifyContext): void {
  const { store, world, settings, nowMs } = context;
  const roster = store.people.roster();
  const { morningAt } = roster.ladder;
  const lastDay = store.people.morningSheetDay();
  const zone = settings.timeZone;
  const day = morningSheetDayDue({ morningAt, nowMs, zone, lastDay });
  if (day === null) return;
  const readers = sheetReaders(roster);
  store.carryOn(() => {
    store.people.setMorningSheetDay(day);
    // before the first sheet there was no morning to wait for
    if (lastDay === null || readers.length === 0) return;
    const waiting = [...world.alarms.values()].flatMap((record) => {
      const calling = store.people.calling(record.id);
      return calling && belongsOnMorningSheet(calling, { record, nowMs }) ? [{ record, calling }] : [];
    });
    const remembered = rememberedLines(context);
    const due = dueStepLines(context, { after: lastDay, today: day });
    if (waiting.length + remembered.length + due.length === 0) return;
    const alarms = waiting.map(({ record }) => viewOf(record, world));
    const said = { alarms, remembered, due };
    const body = morningSheetBody(said, context);
    const mailed = readers.some(({ ways: methods }) => methods.some(({ kind }) => kind === 'mail'));
    const mailBody = mailed ? morningSheetBody({ ...said, sheet: sheetOf(context) }, context) : body;
    for (const person of readers) {
      const until = quietUntilMs({ quiet: person.quiet, nowMs, zone });
      for (const method of person.ways) {
        const of = {
          wayId: method.id,
          alarmId: null,
          recipient: recipientOf(person, method),
          kind: MORNING_SHEET,
        };
        const sending = { createdMs: nowMs, notBeforeMs: until ?? nowMs, priority: 'low' as const };
        const sent = method.kind === 'mail' ? mailBody : body;
        store.outbox.put({ key: messageKey(context), body: sent, ...of, ...sending });
      }
    }
    for (const { record, calling } of waiting)
      store.people.saveCalling(record.id, { ...calling, onMorningSheet: true }, null);
  });
}

/** What is remembered of each place, a line each; nothing of the demo. */
function rememberedLines({ world, settings, nowMs }: NotifyContext): string[] {
  const reader = { unit: 'C', timeZone: settings.timeZone, nowMs } as const;
  return [...world.places.values()].flatMap(({ id, name, invented }) => {
    const all = invented ? [] : latelyTogether(settings.remembered(id), reader);
    if (all.length === 0) return [];
    const named = all.slice(0, MOST_NAMED).map((words) => `${asSentence(words)}.`);
    const more = all.length - named.length;
    return [`${name}: ${named.join(' ')}${more > 0 ? ` And ${more} more.` : ''}`];
  });
}

/** The night as the page shows it, for mail; null where it could not be made: the message goes out without it. */
function sheetOf({ settings, world }: NotifyContext): MorningSheet | null {
  const whole = settings.night();
  const { publicUrl } = settings.links;
  if (whole === null) return null;
  const isDemo = ({ placeId }: { readonly placeId: string }) => world.places.get(placeId)?.invented === true;
  const places = whole.places.filter((row) => !isDemo(row));
  const { unwatched, pairs } = whole.installation;
  // which of the batches compared are of the demo is not known here
  const installation = { unwatched, pairs: places.length < whole.places.length ? null : pairs };
  const night = { ...whole, places, installation };
  const link = publicUrl === null ? null : `${publicUrl.replace(/\/$/, '')}/#/night/${night.date}`;
  return morningSheetOf(night, { timeZone: settings.timeZone, link });
}

type SheetSaid = {
  readonly alarms: readonly Alarm[];
  readonly remembered: readonly string[];
  /** steps of planned batches */
  readonly due: readonly string[];
  readonly sheet?: MorningSheet | null;
};

function morningSheetBody(
  { alarms, remembered, due, sheet = null }: SheetSaid,
  { settings, nowMs }: NotifyContext,
): string {
  const sentences = alarms.map((alarm) =>
    alarmSentence(alarm, { unit: 'C', timeZone: settings.timeZone, nowMs }),
  );
  const subject = `Morning sheet: ${[...waitingWords(alarms), ...rememberedWords(remembered), ...dueWords(due)].join('; ')}`;
  const data = {
    alarm: null,
    alarms,
    subject,
    message: [...remembered, ...due, ...sentences].join('\n'),
    answer: null,
    answerPath: null,
    ...(sheet === null ? {} : { sheet }),
  };
  return JSON.stringify({ type: MORNING_SHEET, timestamp: new Date(nowMs).toISOString(), data });
}

function waitingWords({ length }: readonly Alarm[]): string[] {
  if (length === 0) return [];
  return [`${length === 1 ? '1 thing' : `${length} things`} that could wait until now`];
}

function dueWords({ length }: readonly string[]): string[] {
  return length === 0 ? [] : [`${length} due before sticking`];
}

function rememberedWords({ length }: readonly string[]): string[] {
  if (length === 0) return [];
  return [`${length === 1 ? '1 place' : `${length} places`} to look at`];
}
