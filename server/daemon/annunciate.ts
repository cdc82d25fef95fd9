import { type AlarmStep, alarmView, isAnnunciated } from '../domain/alarms/record.ts';
import { callPeople, type TellContext, type TellSettings, tellHouse } from './calling.ts';
import { isOfDemo } from './invented.ts';
import { viewOf } from './world-view.ts';

export type AnnunciatorSettings = TellSettings;

/** Transitions after which an alarm that stands unseen is told, as if it had just been raised. */
const SET_FREE: readonly string[] = ['unshelved', 'unsuppressed', 'in-service'];

/** Transitions of an alarm somebody is told of; the others are entries of its history only. */
const TOLD: ReadonlySet<string> = new Set(['raised', 'returned', 're-alarmed', ...SET_FREE]);

/**
 * Takes a step of an alarm into world and store, with its event and its messages, inside the
 * caller's transaction: a transition and the messages about it are kept together or not at all.
 */
export function keepStep(step: AlarmStep, context: TellContext & { readonly note?: string }): void {
  const { world, store, nowMs } = context;
  const { record, transition } = step;
  world.alarms.set(record.id, record);
  store.alarms.save(record);
  if (!transition) return;
  const note = context.note ?? (transition === 'raised' ? alarmView(record, '').suppressedReason : null);
  store.alarms.addEvent({ alarmId: record.id, transition, atMs: eventTimeMs(step, nowMs), note });
  if (isTold(step, nowMs) && !isOfDemo(record, world)) tellHouse(viewOf(record, world), transition, context);
  callPeople(record, context);
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
