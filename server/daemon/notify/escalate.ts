import { saysMore } from '../../domain/alarms/nuisance/groups.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import type { NotifyContext } from './calling.ts';

/**
 * Has those who were called about the first alarm of a group called again at once, when one that says more is raised
 * and the first is announced for it: air that is far over its ceiling now. Inside the caller's transaction; they are called
 * in the next turn of the watch.
 */
export function escalateFirst(record: AlarmRecord, { store, nowMs }: NotifyContext): void {
  const { suppressedBy } = record;
  if (suppressedBy?.why !== 'consequence' || !saysMore(record)) return;
  const calling = store.people.calling(suppressedBy.of);
  if (!calling || calling.called.length === 0) return;
  const called = calling.called.map((one) => ({ ...one, lastMs: 0 }));
  store.people.saveCalling(suppressedBy.of, { ...calling, called }, nowMs);
}

/** Has everybody called from the first on, as by a new alarm: its priority was raised. Inside the caller's transaction. */
export function callAgain({ id }: AlarmRecord, { store, nowMs }: NotifyContext): void {
  const calling = store.people.calling(id);
  if (calling) store.people.saveCalling(id, { ...calling, askingSinceMs: nowMs, called: [] }, nowMs);
}
