import { join } from 'node:path';
import { z } from 'zod';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { createPast } from '../../server/daemon/readout/past.ts';
import { HOURS_A_TURN } from '../../server/daemon/upkeep/sealer.ts';
import { World } from '../../server/daemon/world/world.ts';
import { DEFAULT_PLACE_SETTINGS, type Place } from '../../shared/model/place.ts';
import { LIMIT_RULES } from '../../shared/rules/rules.ts';
import type { TriableRule } from '../../shared/wire/alarms/past.ts';
import { temporaryFolder } from '../support/folders.ts';
import { quantile } from './figure.ts';
import { answer } from './in-child.ts';
import { DAY_START_MS, TARGET_SHEET_FILE, TIME_ZONE } from './simulated.ts';
import { sensorsOf } from './workload.ts';

/** A month of a place, and each rule tried on it as a slider is dragged. */
const orderSchema = z.object({
  days: z.number(),
  everyMs: z.number(),
  moves: z.number(),
  seed: z.number(),
});
type Order = z.infer<typeof orderSchema>;

const DAY_MS = 86_400_000;
/** Two root zones, two airs, two humidities and light, of the workload's chips. */
const SEVEN = [0, 1, 2, 3, 4, 7, 8];
/** Where the sliders are dragged: each is met on some days of the workload's waves, or on all. */
const FROM: Readonly<Record<TriableRule, readonly [from: number, step: number]>> = {
  'air-over-ceiling': [25, 0.1],
  'air-far-over-ceiling': [25, 0.1],
  'air-below-band-at-night': [15, 0.1],
  'air-below-band-by-day': [20, 0.1],
  'air-far-too-cold': [15, 0.1],
  'root-too-hot': [23.9, 0.05],
  'root-below-band': [20.1, 0.1],
  'root-zone-far-too-cold': [5, 1],
  'vpd-above-band-in-light': [0.6, 0.02],
  'light-over-peak': [450, 10],
  'air-warmer-than-root': [1, 0.1],
  'root-falling-towards-air': [0.2, 0.02],
  'no-mist-in-light': [30, 5],
  'mist-without-water': [30, 5],
  'mist-stuck-on': [10, 1],
  'vent-left-open': [1, 0.2],
  'saturated-too-long': [4, 1],
};

await answer(orderSchema, (order) => {
  const store = openStore({ file: join(temporaryFolder('past'), 'record.db'), nowMs: DAY_START_MS });
  const place = record(store, order);
  const past = createPast({ store, world: new World(store), timeZone: TIME_ZONE });
  const span = { fromMs: DAY_START_MS, toMs: DAY_START_MS + order.days * DAY_MS };
  const tried = LIMIT_RULES.map((rule) => {
    const [from, step] = FROM[rule];
    const took: number[] = [];
    let alarms = 0;
    for (let move = 0; move <= order.moves; move += 1) {
      const startMs = performance.now();
      const found = past(place, { rule, span, trial: { limit: from + step * move } });
      took.push(performance.now() - startMs);
      alarms += found.alarms.length;
    }
    return { rule, firstMs: took[0] as number, moveMs: quantile(took.slice(1), 0.5), alarms };
  });
  return { tried };
});

function record(store: ReturnType<typeof openStore>, { days, everyMs, seed }: Order): Place {
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
