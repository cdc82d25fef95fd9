import { isChatterOver, withoutChatter } from '../../domain/alarms/nuisance/chatter.ts';
import { isActive, isAnnunciated } from '../../domain/alarms/record.ts';
import { NOT_CALLED } from '../../domain/people/escalation.ts';
import { isDemo } from '../world/is-demo.ts';
import { viewOf } from '../world/world-view.ts';
import { type NotifyContext, notifyInstallation } from './calling.ts';
import { callOrCollect } from './flood-calls.ts';

/**
 * Announces repeating alarms like any other again once they were quiet: one that is active is called again, of one
 * that is over those are notified who were notified that it repeats. One transaction each turn that has any.
 * @returns ids of the alarms that changed, committed
 */
export function chatterTurn(context: NotifyContext): string[] {
  const { world, store, nowMs } = context;
  const quiet = [...world.alarms.values()].filter((record) => isChatterOver(record, { nowMs }));
  if (quiet.length === 0) return [];
  store.carryOn(() => {
    for (const held of quiet) {
      const record = withoutChatter(held);
      world.alarms.set(record.id, record);
      store.alarms.save(record);
      if (!isActive(record)) goOnFrom(record.id, record.raisedAtMs, context);
      callOrCollect(record, context);
      if (isAnnunciated(record, { nowMs }) && !isDemo(record, world)) {
        const transition = isActive(record) ? 'raised' : 'returned';
        notifyInstallation(viewOf(record, world), transition, context);
      }
    }
  });
  return quiet.map(({ id }) => id);
}

/** What was announced of the repeating alarm was announced of its last raising too. */
function goOnFrom(alarmId: string, raisedMs: number | null, { store }: NotifyContext): void {
  const calling = store.people.calling(alarmId) ?? NOT_CALLED;
  store.people.saveCalling(alarmId, { ...calling, raisedMs }, null);
}
