import type { NewProbe, Store } from '../../server/ports.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../shared/model/place.ts';

/** A store that can be closed and opened again on what it kept. */
export type Kept = { open(): Store };

/** What a suite works with: the open store, and the same after a restart. */
export type Opened = { store(): Store; reopen(): Store };

export const PROBE: NewProbe = {
  device: 'bench-1',
  name: 'air/temperature',
  quantity: 'air/temperature',
  unit: '°C',
  placeId: 'bench-1',
};

/** Makes the place bench-1 and one probe in it; returns the probe's id. */
export function settle(store: Store, probe: Partial<NewProbe> = {}): number {
  if (store.places.all().length === 0) {
    store.places.add({
      id: 'bench-1',
      name: 'Bench 1',
      kind: 'bench',
      invented: false,
      settings: DEFAULT_PLACE_SETTINGS,
    });
  }
  return store.probes.add({ ...PROBE, ...probe }).id;
}
