import type { FloodFacts } from '../../../shared/wire/http.ts';
import { floodAt } from '../../domain/alarms/nuisance/flood.ts';
import type { World } from '../world/world.ts';
import { viewOf } from '../world/world-view.ts';

/** The flood of alarms there is, or null: how many, where, how urgent, and which was the first. */
export function floodFacts(world: World, nowMs: number): FloodFacts | null {
  const flood = floodAt(world.annunciated, nowMs);
  const first = flood?.announced.map(({ alarmId }) => world.alarms.get(alarmId)).find((record) => record);
  if (!flood || !first) return null;
  const byPriority = { high: 0, medium: 0, low: 0 };
  const places = new Map<string, number>();
  for (const { alarmId } of flood.lately) {
    const record = world.alarms.get(alarmId);
    if (!record) continue;
    byPriority[record.priority] += 1;
    const { placeName } = viewOf(record, world);
    places.set(placeName, (places.get(placeName) ?? 0) + 1);
  }
  return {
    since: new Date(flood.sinceMs).toISOString(),
    told: flood.lately.length,
    first: { alarmId: first.id, placeName: viewOf(first, world).placeName, rule: first.rule },
    byPriority,
    byPlace: [...places]
      .map(([placeName, notified]) => ({ placeName, told: notified }))
      .sort((a, b) => b.told - a.told),
  };
}
