import { z } from 'zod';
import type { Figure } from './figure.ts';
import { inChild } from './in-child.ts';
import type { Fleet } from './packs.ts';
import type { Sizes } from './sizes.ts';
import { STEP_MS } from './workload.ts';

const writtenSchema = z.object({ fileBytes: z.number(), wchar: z.number(), writeBytes: z.number() });
const daySchema = z.object({ readings: z.number(), ours: writtenSchema, table: writtenSchema });

const WCHAR = 'what the process hands to write calls, of the log and of the file';
const WRITE_BYTES =
  'what the file system books: whole blocks of 4 KiB, again at every commit that touches one';

/** Bytes a reading in the file and written on its way there over a day, beside a plain table of the same data. */
export async function recordDay(sizes: Sizes): Promise<Figure[]> {
  const steps = Math.round(sizes.recordHours * (3_600_000 / STEP_MS));
  const fleets = [
    { words: '1 device of 20', devices: 1, probesADevice: 20, jitterMs: 0 },
    { words: '4 devices of 5', devices: 4, probesADevice: 5, jitterMs: 0 },
    { words: '1 device of 20, timed by arrival', devices: 1, probesADevice: 20, jitterMs: 40 },
  ];
  const figures: Figure[] = [];
  for (const { words, ...fleet } of fleets) {
    const order: Fleet = { ...fleet, steps, stepsAPack: 1, seed: sizes.seed };
    const { readings, ours, table } = await inChild('record-day.ts', order, daySchema);
    const line = (what: keyof typeof ours, name: string, note?: string): Figure => ({
      name: `${sizes.recordHours} h of 20 probes at 10 s, ${words}, ${name}`,
      value: ours[what] / readings,
      unit: 'B/reading',
      of: { name: 'a plain table', value: table[what] / readings },
      ...(note === undefined ? {} : { note }),
    });
    figures.push(line('fileBytes', 'file once sealed'));
    figures.push(line('wchar', 'wchar', WCHAR), line('writeBytes', 'write_bytes', WRITE_BYTES));
  }
  return figures;
}

const TURN = 'on a busy machine others work in between';

const sealingSchema = z.object({
  readings: z.number(),
  seconds: z.number(),
  sealingMs: z.number(),
  arrivedPerS: z.number(),
  worstTurnMs: z.number(),
  worstTurnCpuMs: z.number(),
  worstCommitMs: z.number(),
});

/** How quickly hours are sealed while 2,000 readings/s come in, and how long that holds them up. */
export async function sealing(sizes: Sizes): Promise<Figure[]> {
  const figures: Figure[] = [];
  for (const { probes, everyMs } of sizes.sealed) {
    const steps = Math.min(sizes.sealedSteps, 3_600_000 / everyMs);
    const order = { probes, everyMs, steps, seed: sizes.seed, arrivalsPerS: sizes.arrivalsPerS };
    const measured = await inChild('record-sealing.ts', order, sealingSchema);
    const of = { name: 'what came in', value: measured.arrivedPerS };
    const name = `sealing an hour of ${probes.toLocaleString('en')} probes at ${everyMs / 1000} s`;
    const { readings, seconds, sealingMs, worstTurnMs, worstTurnCpuMs, worstCommitMs } = measured;
    figures.push(
      { name: `${name}, journal cleared`, value: readings / seconds, unit: 'readings/s', of },
      { name: `${name}, share of the core`, value: (100 * sealingMs) / seconds / 1000, unit: '%' },
      { name: `${name}, longest turn`, value: worstTurnMs, unit: 'ms', note: TURN },
      { name: `${name}, longest turn, processor time`, value: worstTurnCpuMs, unit: 'ms' },
      { name: `${name}, longest commit of what came in`, value: worstCommitMs, unit: 'ms' },
    );
  }
  return figures;
}
