import type { openStore } from '../../server/adapters/sqlite/store.ts';
import { HOURS_A_TURN } from '../../server/daemon/upkeep/sealer.ts';
import { DEFAULT_PLACE_SETTINGS, type Place } from '../../shared/model/place.ts';
import { DAY_START_MS, TARGET_SHEET_FILE } from './simulated.ts';
import { sensorsOf } from './workload.ts';

type Month = { readonly days: number; readonly everyMs: number; readonly seed: number };

/** Two root zones, two airs, two humidities and light, of the workload's chips. */
const SEVEN = [0, 1, 2, 3, 4, 7, 8];
const DAY_MS = 86_400_000;

/** A place of seven probes with so many days on record, sealed. */
export function monthOf(store: ReturnType<typeof openStore>, { days, everyMs, seed }: Month): Place {
  const settings = { ...DEFAULT_PLACE_SETTINGS, mistEveryMin: 10 };
  const place: Place = { id: 'month', name: 'month', kind: 'dome', invented: true, settings };
  store.places.add(place);
  store.places.addTargets(place.id, { fromMs: 0, enteredMs: 0, targets: TARGET_SHEET_FILE.targets });
  const all = sensorsOf({ count: 10, seed });
  const probes = SEVEN.map((index) => {
    const { quantity, unit, name, valueAt } = all[index] as (typeof all)[number];
    const named = { device: place.id, name, quantity, unit, placeId: place.id };
    return { probeId: store.probes.add(named).id, valueAt };
  });
  for (let day = 0; day < days; day += 1) {
    const startMs = DAY_START_MS + day * DAY_MS;
    store.transaction(() => {
      for (let tMs = startMs; tMs < startMs + DAY_MS; tMs += everyMs)
        for (const { probeId, valueAt } of probes)
          store.journal.append({ probeId, tMs, value: valueAt(tMs) });
    });
    while (store.journal.seal({ nowMs: startMs + 2 * DAY_MS, limit: HOURS_A_TURN }).more);
  }
  return place;
}
