import { readFileSync } from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';
import { z } from 'zod';
import { startDaemon } from '../support/daemon.ts';
import { openRecord } from '../support/record.ts';
import { until } from '../support/wait.ts';
import { type Figure, quantile } from './figure.ts';
import type { Sizes } from './sizes.ts';

const houseSchema = z.object({
  demo: z.object({ running: z.boolean(), progressPct: z.number().nullable() }),
});

/** How long the daemon takes from its start to being ready with the demo's record, and the memory it then idles in. */
export async function startWithDemo(sizes: Sizes): Promise<Figure[]> {
  const daemon = await startDaemon({ command: 'demo' });
  const backRecordIn = async () => {
    const { demo } = await daemon.read('/api/v1/house', houseSchema);
    return demo.running && (demo.progressPct === null || demo.progressPct >= sizes.demoPct) ? true : null;
  };
  await until(backRecordIn, { what: 'back record of the demo', withinMs: 300_000, everyMs: 250 });
  const tookMs: number[] = [];
  for (let start = 0; start < sizes.starts; start += 1) {
    await daemon.stop();
    const startMs = performance.now();
    await daemon.start('serve');
    tookMs.push(performance.now() - startMs);
  }
  const record = openRecord(daemon.dataDir);
  const readings = record.readings().length;
  record.close();
  await sleep(sizes.idleMs);
  const residentMiB = residentKiB(daemon.pid()) / 1024;
  await daemon.close();
  return [
    {
      name: `start to ready with ${readings.toLocaleString('en')} readings, median`,
      value: quantile(tookMs, 0.5),
      unit: 'ms',
    },
    {
      name: `resident memory after ${sizes.idleMs / 1000} s, the demo living on`,
      value: residentMiB,
      unit: 'MiB',
    },
  ];
}

function residentKiB(pid: number): number {
  const status = readFileSync(`/proc/${pid}/status`, 'utf8');
  return Number(/^VmRSS:\s*(\d+) kB/m.exec(status)?.[1]);
}
