import type { Alarm } from '../../shared/model/alarm.ts';
import { alarmWords } from '../../shared/words/alarm.ts';
import { type AlarmRecord, type AlarmStep, alarmView, isAnnunciated } from '../domain/alarms/record.ts';
import type { Store } from '../ports.ts';
import type { World } from './world.ts';

export type AnnunciatorSettings = { readonly webhookSet: boolean; readonly timeZone: string };

/** How an alarm of the house itself is named. */
const HOUSE_NAME = 'The house';

/** Transitions after which an alarm that stands unseen is told, as if it had just been raised. */
const SET_FREE: readonly string[] = ['unshelved', 'unsuppressed', 'in-service'];

/** Transitions of an alarm somebody is told of; the others are entries of its history only. */
const TOLD: ReadonlySet<string> = new Set(['raised', 'returned', 're-alarmed', ...SET_FREE]);

/**
 * Takes a step of an alarm into world and store, with its event and its messages, inside the
 * caller's transaction: a transition and the messages about it are kept together or not at all.
 */
export function keepStep(
  step: AlarmStep,
  context: {
    readonly world: World;
    readonly store: Store;
    readonly settings: AnnunciatorSettings;
    readonly nowMs: number;
    readonly note?: string;
  },
): void {
  const { world, store, nowMs } = context;
  const { record, transition } = step;
  world.alarms.set(record.id, record);
  store.alarms.save(record);
  if (!transition) return;
  const note = context.note ?? (transition === 'raised' ? alarmView(record, '').suppressedReason : null);
  const eventId = store.alarms.addEvent({
    alarmId: record.id,
    transition,
    atMs: eventTimeMs(step, nowMs),
    note,
  });
  if (!context.settings.webhookSet || !isTold(step, nowMs)) return;
  const alarm = viewOf(record, world);
  const key = `alarm-${nowMs}-${eventId}`;
  const body = webhookBody(alarm, { transition, nowMs, timeZone: context.settings.timeZone });
  store.outbox.put({ key, channel: 'webhook', body, createdMs: nowMs });
}

/** The alarm as others see it, with its place's name. */
export function viewOf(record: AlarmRecord, world: World): Alarm {
  const { placeId } = record;
  return alarmView(record, placeId === null ? HOUSE_NAME : (world.places.get(placeId)?.name ?? placeId));
}

function isTold({ record, transition }: AlarmStep, nowMs: number): boolean {
  if (!isAnnunciated(record, { nowMs }) || !TOLD.has(transition ?? '')) return false;
  return !SET_FREE.includes(transition ?? '') || record.state === 'unacknowledged';
}

/** Raised and returned happen on event time; what a person does happens now. */
function eventTimeMs({ record, transition }: AlarmStep, nowMs: number): number {
  if (transition === 'raised') return record.raisedAtMs ?? nowMs;
  return transition === 'returned' ? (record.returnedAtMs ?? nowMs) : nowMs;
}

type WebhookContext = { transition: string; nowMs: number; timeZone: string };

/** The payload shape of Standard Webhooks 1.0.0: type, timestamp, data. */
function webhookBody(alarm: Alarm, { transition, nowMs, timeZone }: WebhookContext): string {
  const words = alarmWords(alarm, { unit: 'C', timeZone, nowMs });
  const data = {
    alarm,
    words,
    message: [words.headline, words.detail, words.action].filter(Boolean).join(' '),
  };
  return JSON.stringify({ type: `alarm.${transition}`, timestamp: new Date(nowMs).toISOString(), data });
}
