import type { HeldView } from '../../../../shared/wire/people.ts';
import { asCalled } from '../../../domain/alarms/nuisance/chatter.ts';
import type { AlarmRecord } from '../../../domain/alarms/record.ts';
import { callsNow, NOT_CALLED } from '../../../domain/people/escalation.ts';
import { type HeldCall, heldCalls } from '../../../domain/people/held.ts';
import { isDemo } from '../../world/is-demo.ts';
import type { NotifyContext } from '../context.ts';
import { isForDigest, nextDigestMs } from '../flood-calls.ts';

/** The messages about an alarm that are held back now: to whom, until when and why. */
export function heldMessages(given: AlarmRecord, context: NotifyContext): HeldView[] {
  const { store, settings, world, nowMs } = context;
  if (isDemo(given, world)) return [];
  const record = asCalled(given);
  const roster = store.people.roster();
  const calling = store.people.calling(record.id);
  const question = { record, roster, nowMs, zone: settings.timeZone };
  const collected: HeldCall[] = isForDigest(record, context)
    ? callsNow(calling ?? NOT_CALLED, question).calls.map(({ personId }) => ({
        personId,
        why: 'many-alarms',
        untilMs: nextDigestMs(nowMs),
      }))
    : [];
  const held = heldCalls(calling, { ...question, lastSheetDay: store.people.morningSheetDay() });
  return [...collected, ...held].flatMap(({ personId, why, untilMs }) => {
    const person = roster.people.find(({ id }) => id === personId);
    return person ? [{ to: person.name, why, until: new Date(untilMs).toISOString() }] : [];
  });
}
