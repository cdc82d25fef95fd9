import { type AlarmRecord, isActive } from '../../domain/alarms/record.ts';
import { withoutProbes } from '../../domain/lifecycle/not-judged.ts';
import type { AlarmEnded, ArchiveItem, ArchiveScope, ArchiveTarget } from '../../ports.ts';
import { commit } from '../services/orders.ts';
import type { ArchiveContext } from './archive-context.ts';
import { contentsOf } from './contents.ts';

export type Archiving = {
  readonly target: ArchiveTarget;
  readonly scope: ArchiveScope;
  readonly state: 'archived' | 'deleted';
  readonly by: string | null;
};

/** What an alarm's history says where it ends because nobody judges it any more. */
const WHY = { archived: 'archived', deleted: 'deleted' } as const;

/** Puts places and probes into the archive: their alarms end, they leave the world, and pages are notified. */
export function archiveNow(order: Archiving, context: ArchiveContext): ArchiveItem {
  const { world, store, clock } = context;
  const { target, scope, state, by } = order;
  const nowMs = clock.nowMs();
  const name = nameOf(target, context);
  const login = target.kind === 'device' ? loginOf(target.device, context) : null;
  const places = placesTouched(scope, context);
  const { item, ended } = commit(context, () => {
    const alarms = alarmsWithout(scope, nowMs, context);
    const body = { contents: contentsOf(scope, context), alarms, login };
    const times = { sinceMs: nowMs, countedDays: 0, countedMs: nowMs };
    const kept = store.archive.add({ kind: target.kind, name, state, by, ...times, body }, scope);
    endAlarms({ scope, alarms, note: WHY[state], nowMs }, context);
    if (login !== null) store.access.setDeviceState({ name, state: 'retired', stateMs: nowMs });
    world.letGo(scope);
    return { item: kept, ended: alarms };
  });
  for (const placeId of places) context.placeChanged(placeId);
  for (const { after } of ended) context.alarmChanged(after.id);
  if (login !== null) context.loginChanged();
  return item;
}

function placesTouched({ placeIds, probeIds }: ArchiveScope, { world }: ArchiveContext): Set<string> {
  return new Set([...placeIds, ...probeIds.flatMap((id) => world.probes.get(id)?.placeId ?? [])]);
}

function nameOf(target: ArchiveTarget, { world }: ArchiveContext): string {
  if (target.kind === 'device') return target.device;
  if (target.kind === 'place') return world.places.get(target.placeId)?.name ?? target.placeId;
  const probe = world.probes.get(target.probeId);
  return probe ? `${probe.device}/${probe.name}` : String(target.probeId);
}

function loginOf(device: string, { store }: ArchiveContext): 'enabled' | 'disabled' | null {
  const state = store.access.device(device)?.state ?? 'retired';
  return state === 'retired' ? null : state;
}

/** The alarms of places that go on, which the probes that go bear on. */
function alarmsWithout(scope: ArchiveScope, nowMs: number, { world }: ArchiveContext): AlarmEnded[] {
  const whole = new Set(scope.placeIds);
  const probes = scope.probeIds.flatMap((id) => world.probes.get(id) ?? []);
  const byPlace = Map.groupBy(probes, ({ placeId }) => placeId);
  return [...world.alarms.values()].flatMap((before) => {
    const gone = before.placeId === null || whole.has(before.placeId) ? [] : byPlace.get(before.placeId);
    if (!gone || gone.length === 0) return [];
    const { record: after } = withoutProbes(before, gone, nowMs);
    return after === before ? [] : [{ before, after }];
  });
}

type Ending = {
  readonly scope: ArchiveScope;
  readonly alarms: readonly AlarmEnded[];
  readonly note: string;
  readonly nowMs: number;
};

/**
 * Ends alarms inside the caller's transaction: nobody is notified that they returned, as nobody knows that. Those of whole
 * places stay as they are, out of the world; what was asked of people about them is not asked again.
 */
function endAlarms({ scope, alarms, note, nowMs }: Ending, { world, store }: ArchiveContext): void {
  const end = ({ id }: AlarmRecord) => {
    store.alarms.addEvent({ alarmId: id, transition: 'not-judged', atMs: nowMs, note });
    const calling = store.people.calling(id);
    if (calling) store.people.saveCalling(id, calling, null);
  };
  for (const record of world.alarms.values()) {
    const isWhole = record.placeId !== null && scope.placeIds.includes(record.placeId);
    if (!isWhole) continue;
    // with what was only remembered of it, so that it can come back as it is
    store.alarms.save(record);
    if (isActive(record)) end(record);
  }
  for (const { before, after } of alarms) {
    store.alarms.save(after);
    world.alarms.set(after.id, after);
    if (isActive(before) && !isActive(after)) end(after);
  }
}
