import type { Place } from '../../../shared/model/place.ts';
import type { Store } from '../../ports.ts';
import { World } from '../world/world.ts';

/** A place from the archive with a world that holds it alone, for those who read its record; null when there is none. */
export function archivedWorld(placeId: string, store: Store): { place: Place; world: World } | null {
  const held = store.archive.place(placeId);
  if (held === null) return null;
  const { place, probes, alarms } = held;
  const world = new World({
    ...store,
    places: { ...store.places, all: () => [place] },
    probes: { ...store.probes, all: () => [...probes] },
    alarms: { ...store.alarms, all: () => [...alarms], eventsIn: () => [] },
    archive: { ...store.archive, names: () => ({ places: [], probes: [] }) },
  });
  return { place, world };
}
