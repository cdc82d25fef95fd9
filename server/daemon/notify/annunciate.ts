import { stakeWords } from '../../../shared/words/calls.ts';
import { isNotifiedAlready, withChatter } from '../../domain/alarms/nuisance/chatter.ts';
import { withAnnunciated } from '../../domain/alarms/nuisance/flood.ts';
import { type AlarmRecord, type AlarmStep, isAnnunciated } from '../../domain/alarms/record.ts';
import { alarmView } from '../../domain/alarms/view.ts';
import { isDemo } from '../world/is-demo.ts';
import { viewOf } from '../world/world-view.ts';
import { type NotifyContext, type NotifySettings, notifyInstallation } from './calling.ts';
import { callAgain, escalateFirst } from './escalate.ts';
import { callOrCollect } from './flood-calls.ts';

export type AnnunciatorSettings = NotifySettings;

/** Transitions after which an active alarm that nobody has seen is announced, as if it had just been raised. */
const SET_FREE: readonly string[] = ['unshelved', 'unsuppressed', 'in-service'];

/** Transitions of an alarm somebody is notified of; the others are entries of its history only. */
const NOTIFIED_TRANSITIONS: ReadonlySet<string> = new Set([
  'raised',
  'returned',
  're-alarmed',
  'priority-raised',
  ...SET_FREE,
]);

/**
 * Takes a step of an alarm into world and store, with its event and its messages, inside the
 * caller's transaction: a transition and the messages about it are kept together or not at all.
 */
export function keepStep(step: AlarmStep, context: NotifyContext & { readonly note?: string }): void {
  const { world, store, nowMs } = context;
  const { transition } = step;
  const record = withChatter(step.record, { transition, nowMs });
  const unannounced = transition === 'returned' && wasRaisedUnannounced(record, world);
  world.alarms.set(record.id, record);
  store.alarms.save(record);
  if (!transition) return;
  const isKnown = isNotifiedAlready(record, step);
  const note = context.note ?? step.note ?? noteOf(record, { transition, isKnown }, context);
  const atMs = eventTimeMs(step, nowMs);
  store.alarms.addEvent({ alarmId: record.id, transition, atMs, note });
  if (transition === 'raised') {
    noteStake(record, atMs, context);
    context.settings.judgeCause(record);
  }
  if (isNotified(step, nowMs) && !isKnown && !unannounced && !isDemo(record, world))
    notifyInstallation(viewOf(record, world), transition, context);
  if (transition === 'raised' && note === null)
    world.annunciated = withAnnunciated(world.annunciated, {
      alarmId: record.id,
      atMs: record.raisedAtMs ?? nowMs,
    });
  if (transition === 'priority-raised') callAgain(record, context);
  if (transition === 'not-judged') callNoMore(record.id, store);
  else callOrCollect(record, context);
  if (transition === 'raised') escalateFirst(record, context);
}

/** Whether an alarm that returns was suppressed by design, and nobody was notified when it was raised. */
function wasRaisedUnannounced({ id, raisedAtMs }: AlarmRecord, world: NotifyContext['world']): boolean {
  if (!world.alarms.get(id)?.suppressedBy) return false;
  return !world.annunciated.some(({ alarmId, atMs }) => alarmId === id && atMs === raisedAtMs);
}

/** Nobody is notified that it returned, as nobody knows that. */
function callNoMore(alarmId: string, { people }: NotifyContext['store']): void {
  const calling = people.calling(alarmId);
  if (calling) people.saveCalling(alarmId, calling, null);
}

/** What is raised as high by harm at once says so in its history, as one does whose priority is raised later. */
function noteStake(record: AlarmRecord, atMs: number, { store, settings }: NotifyContext): void {
  const stake = record.priority === 'high' ? settings.stakeNow(record) : null;
  if (!stake) return;
  const raised = { alarmId: record.id, transition: 'priority-raised', atMs } as const;
  store.alarms.addEvent({ ...raised, note: stakeWords(stake) });
}

type Noted = { readonly transition: AlarmStep['transition']; readonly isKnown: boolean };

function noteOf(
  record: AlarmRecord,
  { transition, isKnown }: Noted,
  { settings }: NotifyContext,
): string | null {
  if (transition === 'raised') return whyNotNotified(record, isKnown);
  if (transition === 'priority-raised') {
    const stake = settings.stakeNow(record);
    return stake && stakeWords(stake);
  }
  const isLapse = transition === 'suppressed' && record.suppressedBy?.why === 'lapsed';
  return isLapse ? alarmView(record, '').suppressedReason : null;
}

/** Why nobody is notified of a raising by itself, as its entry in the history says; null when somebody is. */
function whyNotNotified(record: AlarmRecord, isKnown: boolean): string | null {
  return alarmView(record, '').suppressedReason ?? (isKnown ? 'it is repeating, and that was sent' : null);
}

function isNotified({ record, transition }: AlarmStep, nowMs: number): boolean {
  if (!isAnnunciated(record, { nowMs }) || !NOTIFIED_TRANSITIONS.has(transition ?? '')) return false;
  return !SET_FREE.includes(transition ?? '') || record.state === 'unacknowledged';
}

/** Raised and returned happen on event time; what a person does happens now. */
function eventTimeMs({ record, transition }: AlarmStep, nowMs: number): number {
  if (transition === 'raised') return record.raisedAtMs ?? nowMs;
  return transition === 'returned' ? (record.returnedAtMs ?? nowMs) : nowMs;
}
