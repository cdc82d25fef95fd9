import { join } from 'node:path';
import { z } from 'zod';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { createPast } from '../../server/daemon/readout/past.ts';
import { World } from '../../server/daemon/world/world.ts';
import { LIMIT_RULES } from '../../shared/rules/rules.ts';
import type { TriableRule } from '../../shared/wire/alarms/past.ts';
import { temporaryFolder } from '../support/folders.ts';
import { quantile } from './figure.ts';
import { answer } from './in-child.ts';
import { monthOf } from './month.ts';
import { DAY_START_MS, TIME_ZONE } from './simulated.ts';

/** A month of a place, and each rule tried on it as a slider is dragged. */
const orderSchema = z.object({
  days: z.number(),
  everyMs: z.number(),
  moves: z.number(),
  seed: z.number(),
});

const DAY_MS = 86_400_000;
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
  const place = monthOf(store, order);
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
