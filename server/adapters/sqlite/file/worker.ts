import { parentPort, workerData } from 'node:worker_threads';
import { invariant } from '../../../../shared/faults.ts';
import { damageOf } from './check.ts';
import { copyDatabase } from './copy.ts';
import type { Job, Report } from './jobs.ts';

/** Runs one job beside the thread that takes readings in, and tells how it goes. */
async function run(job: Job, tell: (report: Report) => void): Promise<void> {
  try {
    if (job.kind === 'check') {
      tell({ kind: 'checked', damage: damageOf(job.file, 'quick') });
      return;
    }
    let told = -1;
    const onProgress = (pct: number) => {
      const whole = Math.floor(pct);
      if (whole > told) tell({ kind: 'progress', pct: whole });
      told = whole;
    };
    await copyDatabase({ ...job, onProgress });
    tell({ kind: 'copied' });
  } catch (cause) {
    tell({ kind: 'failed', message: cause instanceof Error ? cause.message : String(cause) });
  }
}

invariant(parentPort !== null, 'the worker runs as a worker');
const port = parentPort;
// given by jobs.ts alone, so its shape is ours
void run(workerData as Job, (report) => port.postMessage(report));
