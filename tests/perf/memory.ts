import { z } from 'zod';
import type { Figure } from './figure.ts';
import { inChild } from './in-child.ts';
import type { Fleet } from './packs.ts';
import type { Sizes } from './sizes.ts';
import { STEP_MS } from './workload.ts';

const daySchema = z.object({
  startKiB: z.number(),
  peakKiB: z.number(),
  endKiB: z.number(),
  longestTurnMs: z.number(),
});

/** Resident memory of store and daemon over a simulated day of many devices, in a process without brokers and pages. */
export async function memoryOverADay(sizes: Sizes): Promise<Figure[]> {
  const { crowdDevices, crowdHours, seed } = sizes;
  const steps = Math.round(crowdHours * (3_600_000 / STEP_MS));
  const fleet: Fleet = {
    devices: crowdDevices,
    probesADevice: 20,
    steps,
    stepsAPack: 1,
    jitterMs: 0,
    seed,
  };
  // a first start, not counted, leaves what node compiled for the other, as any start of the daemon does
  await inChild('memory-day.ts', { ...fleet, steps: 1 }, daySchema);
  const { startKiB, peakKiB, endKiB, longestTurnMs } = await inChild('memory-day.ts', fleet, daySchema);
  const name = `${(20 * crowdDevices).toLocaleString('en')} probes at 10 s over ${crowdHours} h`;
  const figure = (when: string, kib: number): Figure => ({
    name: `${name}, resident memory at ${when}`,
    value: kib / 1024,
    unit: 'MiB',
  });
  return [
    figure('the start', startKiB),
    figure('the peak', peakKiB),
    figure('the end', endKiB),
    { name: `${name}, longest turn of the daemon`, value: longestTurnMs, unit: 'ms' },
  ];
}
