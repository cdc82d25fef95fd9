import { Fault } from '../../../shared/faults.ts';
import { type AlarmRecord, isActive } from '../../domain/alarms/record.ts';
import { restoredAlarm } from '../../domain/lifecycle/not-judged.ts';
import { MAX_PROBES } from '../../domain/lifecycle/quotas.ts';
import type { AlarmEnded, ArchiveItem } from '../../ports.ts';
import { commit } from '../services/orders.ts';
import type { ArchiveContext } from './archive-context.ts';

/** Restores what the archive holds: it is live again with its record, its alarms as they were, its login as it was. */
export function restoreItem(item: ArchiveItem, context: ArchiveContext): void {
  const placeIds = commit(context, () => putBack(item, context));
  for (const placeId of placeIds) context.placeChanged(placeId);
  if (item.body.login !== null) context.loginChanged();
}

/**
 * Puts back all that the archive holds of a device, inside the caller's transaction, places first.
 * @returns ids of the places that are live again
 * @throws Fault `bad-request` while some of it is being removed for good
 */
export function putBackDevice(device: string, context: ArchiveContext): string[] {
  const { world, store } = context;
  const items = world.archived.itemsOf(device).flatMap((id) => store.archive.item(id) ?? []);
  const placesFirst = items.toSorted((a, b) => Number(b.kind === 'place') - Number(a.kind === 'place'));
  return placesFirst.flatMap((item) => putBack(item, context));
}

function putBack(item: ArchiveItem, context: ArchiveContext): string[] {
  const { world, store, clock } = context;
  const { places, probes, touched } = requireRestorable(item, context);
  const ofPlaces = places.flatMap(({ id }) => store.archive.place(id)?.alarms ?? []);
  store.archive.putBack(item.id);
  const { login } = item.body;
  if (login !== null && store.access.device(item.name)?.state === 'retired')
    store.access.setDeviceState({ name: item.name, state: login, stateMs: clock.nowMs() });
  const ofOthers = item.body.alarms.map((ended) => takeBack(ended, context));
  world.takeIn({ places, probes, alarms: [...ofPlaces, ...ofOthers] });
  for (const record of ofPlaces) if (isActive(record)) judgeAgain(record, context);
  return touched;
}

/** An alarm of a place that went on gets back what rested on the probes that went; it is as before unless it moved since. */
function takeBack({ before, after }: AlarmEnded, { store, world, clock }: ArchiveContext): AlarmRecord {
  const now = world.alarms.get(before.id) ?? after;
  const record = restoredAlarm({ before, after, now });
  store.alarms.save(record);
  if (isActive(record) && !isActive(now)) judgeAgain(record, { store, clock });
  return record;
}

function judgeAgain({ id }: AlarmRecord, { store, clock }: Pick<ArchiveContext, 'store' | 'clock'>): void {
  const atMs = clock.nowMs();
  store.alarms.addEvent({ alarmId: id, transition: 'judged-again', atMs, note: 'restored' });
  const calling = store.people.calling(id);
  if (calling) store.people.saveCalling(id, calling, atMs);
}

/** @returns what becomes live again, and ids of the places it bears on */
function requireRestorable({ id, name, state }: ArchiveItem, { world, store }: ArchiveContext) {
  if (state === 'removing') throw refused(`"${name}" is being removed for good: try again in a minute.`);
  const places = store.archive.places(id);
  const whole = new Set(places.map((place) => place.id));
  const probes = store.archive.probes(id).filter((probe) => world.archived.probe(probe) === id);
  const elsewhere = probes.find(
    ({ placeId }) => placeId !== null && !whole.has(placeId) && !world.places.has(placeId),
  );
  if (elsewhere) throw refused(`The place "${elsewhere.placeId}" is in the archive too: restore it first.`);
  if (world.probes.size + probes.length > MAX_PROBES)
    throw refused(`There would be more than ${MAX_PROBES} probes: archive or delete others first.`);
  const touched = [...new Set([...whole, ...probes.flatMap(({ placeId }) => placeId ?? [])])];
  return { places, probes, touched };
}

function refused(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
