import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { z } from 'zod';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { HOURS_A_TURN } from '../../server/daemon/upkeep/sealer.ts';
import type { Store } from '../../server/ports.ts';
import { temporaryFolder } from '../support/folders.ts';
import { answer } from './in-child.ts';
import { sensorsOf } from './workload.ts';

/** An hour of readings is sealed turn by turn, as the daemon does it, while new ones keep coming in. */
const HOUR_MS = 3_600_000;
const START_MS = Date.UTC(2025, 5, 1);
const READINGS_A_PACK = 20;
/** Between turns of the daemon's sealer while there is more to seal, ms. */
const PAUSE_MS = 20;
const ARRIVALS_EVERY_MS = 10;

const orderSchema = z.object({
  probes: z.number(),
  everyMs: z.number(),
  steps: z.number(),
  seed: z.number(),
  arrivalsPerS: z.number(),
});
type Order = z.infer<typeof orderSchema>;

await answer(orderSchema, async (order) => {
  const store = openStore({ file: join(temporaryFolder('sealing'), 'record.db'), nowMs: START_MS });
  const feed = feedOf(order, store);
  const readings = order.probes * order.steps;
  while (feed.stored() < readings) feed.pack();
  const measured = await seal(store, order, feed);
  const isOpen = ({ id }: { id: number }) => store.journal.openHours(id).includes(START_MS / HOUR_MS);
  if (store.probes.all().some(isOpen)) throw new Error('an hour was left open');
  store.close();
  return { readings, ...measured };
});

type Feed = { readonly pack: () => void; readonly nextHour: () => void; readonly stored: () => number };

/** Packs of 20 probes each, one a commit; every probe's next reading is one cadence after its last. */
function feedOf({ probes, everyMs, seed }: Order, store: Store): Feed {
  const sensors = sensorsOf({ count: probes, seed }).map((sensor, index) => {
    const { quantity, name, unit } = sensor;
    const device = `device-${Math.floor(index / READINGS_A_PACK)}`;
    const { id } = store.probes.add({ device, name, quantity, unit, placeId: null });
    return { id, ...sensor };
  });
  let stored = 0;
  let [next, tMs] = [0, START_MS];
  return {
    stored: () => stored,
    nextHour() {
      [next, tMs] = [0, START_MS + HOUR_MS];
    },
    pack() {
      const pack = sensors.slice(next, next + READINGS_A_PACK);
      store.transaction(() => {
        for (const { id, valueAt } of pack) store.journal.append({ probeId: id, tMs, value: valueAt(tMs) });
      });
      stored += pack.length;
      next += READINGS_A_PACK;
      if (next < sensors.length) return;
      [next, tMs] = [0, tMs + everyMs];
    },
  };
}

async function seal(store: Store, { arrivalsPerS }: Order, feed: Feed) {
  feed.nextHour();
  const nowMs = START_MS + 2 * HOUR_MS - 1;
  const before = feed.stored();
  const startMs = performance.now();
  const [turnsMs, commitsMs]: [number[], number[]] = [[], []];
  let worstTurnCpuMs = 0;
  for (let more = true; more; ) {
    const turnMs = performance.now();
    const cpu = process.threadCpuUsage();
    more = store.journal.seal({ nowMs, limit: HOURS_A_TURN }).more;
    turnsMs.push(performance.now() - turnMs);
    const { user, system } = process.threadCpuUsage(cpu);
    worstTurnCpuMs = Math.max(worstTurnCpuMs, (user + system) / 1000);
    const nextTurnMs = performance.now() + PAUSE_MS;
    while (performance.now() < nextTurnMs) {
      const due = before + ((performance.now() - startMs) / 1000) * arrivalsPerS;
      while (feed.stored() < due) {
        const commitMs = performance.now();
        feed.pack();
        commitsMs.push(performance.now() - commitMs);
      }
      await sleep(ARRIVALS_EVERY_MS);
    }
  }
  const seconds = (performance.now() - startMs) / 1000;
  return {
    seconds,
    sealingMs: turnsMs.reduce((sum, ms) => sum + ms, 0),
    worstTurnMs: Math.max(...turnsMs),
    worstTurnCpuMs,
    worstCommitMs: Math.max(...commitsMs),
    arrivedPerS: (feed.stored() - before) / seconds,
  };
}
