import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { temporaryFolder } from '../support/folders.ts';
import { answer } from './in-child.ts';
import { messageOf, packsOf } from './packs.ts';
import { DAY_START_MS, simulatedDaemon } from './simulated.ts';

/** A day of many devices through the daemon, with what the process then holds in memory. */
const orderSchema = z.object({
  devices: z.number(),
  probesADevice: z.number(),
  steps: z.number(),
  stepsAPack: z.number(),
  jitterMs: z.number(),
  seed: z.number(),
});

await answer(orderSchema, async (fleet) => {
  const simulated = simulatedDaemon(join(temporaryFolder('memory'), 'record.db'));
  const { hand } = simulated;
  const startKiB = memoryKiB('VmRSS');
  let group: ReturnType<typeof messageOf>[] = [];
  for (const pack of packsOf(fleet, DAY_START_MS)) {
    if (pack.sentMs > hand.clock.nowMs()) {
      await simulated.take(group);
      group = [];
      hand.pass(pack.sentMs - hand.clock.nowMs());
    }
    group.push(messageOf(pack, true));
  }
  await simulated.take(group);
  return {
    startKiB,
    endKiB: memoryKiB('VmRSS'),
    peakKiB: memoryKiB('VmHWM'),
    longestTurnMs: simulated.longestTurnMs(),
  };
});

function memoryKiB(field: 'VmRSS' | 'VmHWM'): number {
  const status = readFileSync('/proc/self/status', 'utf8');
  return Number(new RegExp(`^${field}:\\s*(\\d+) kB`, 'm').exec(status)?.[1]);
}
