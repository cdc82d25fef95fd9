import type { Probe } from '../../../shared/model/probes/probe.ts';
import type { ArchiveContents } from '../../../shared/wire/lifecycle.ts';
import { isActive } from '../../domain/alarms/record.ts';
import type { ArchiveScope, Store } from '../../ports.ts';
import type { World } from '../world/world.ts';

/** What goes with places and probes: asked before it goes, and kept with it. */
export function contentsOf(
  scope: ArchiveScope,
  { world, store }: { world: World; store: Store },
): ArchiveContents {
  const { placeIds, probeIds } = scope;
  const places = placeIds.flatMap((id) => world.places.get(id) ?? []);
  const probes = probeIds.flatMap((id) => world.probes.get(id) ?? []);
  const alarms = [...world.alarms.values()].filter(
    ({ placeId, raisedAtMs }) => placeId !== null && placeIds.includes(placeId) && raisedAtMs !== null,
  );
  const diary = placeIds.reduce((sum, placeId) => sum + store.diary.countAt(placeId), 0);
  const gone = new Set(probeIds);
  const checks = store.checks.all().filter(({ probeId }) => gone.has(probeId)).length;
  const newestMs = Math.max(0, ...probeIds.map((id) => world.latest.get(id)?.tMs ?? 0));
  return {
    places: places.map(({ id, name }) => ({ id, name })),
    devices: devicesOf(probes),
    probes: probes.length,
    readingsFrom: isoOf(store.journal.oldestMs(probeIds)),
    readingsTo: isoOf(newestMs === 0 ? null : newestMs),
    activeAlarms: alarms.filter(isActive).length,
    alarms: alarms.length,
    entries: diary + checks + batchesOnlyAt(placeIds, store),
  };
}

/** Batches that stood nowhere else: they go with their places, the others stay. */
function batchesOnlyAt(placeIds: readonly string[], { batches }: Store): number {
  const found = new Map(
    placeIds.flatMap((placeId) => batches.atPlace(placeId)).map((batch) => [batch.id, batch]),
  );
  const staysAtAll = (placeId: string | null) => placeId === null || placeIds.includes(placeId);
  return [...found.values()].filter(({ stays }) => stays.every((stay) => staysAtAll(stay.placeId))).length;
}

function devicesOf(probes: readonly Probe[]): string[] {
  return [...new Set(probes.map(({ device }) => device))].toSorted();
}

function isoOf(ms: number | null): string | null {
  return ms === null ? null : new Date(ms).toISOString();
}
