import { parentPort, workerData } from 'node:worker_threads';
import { invariant } from '../../../../shared/faults.ts';
import { damageOf } from './check.ts';
import { copyDatabase } from './copy.ts';
import type { Job, Report } from './jobs.ts';

/** Runs one job beside the thread that stores readings, and reports its progress. */
async function run(job: Job, send: (report: Report) => void): Promise<void> {
  try {
    if (job.kind === 'check') {
      send({ kind: 'checked', damage: damageOf(job.file, 'quick') });
      return;
    }
    let lastSent = -1;
    const onProgress = (pct: number) => {
      const whole = Math.floor(pct);
      if (whole > lastSent) send({ kind: 'progress', pct: whole });
      lastSent = whole;
    };
    await copyDatabase({ ...job, onProgress });
    send({ kind: 'copied' });
  } catch (cause) {
    send({ kind: 'failed', message: cause instanceof Error ? cause.message : String(cause) });
  }
}

invariant(parentPort !== null, 'the worker runs as a worker');
const port = parentPort;
// given by jobs.ts alone, so its shape is ours
void run(workerData as Job, (report) => port.postMessage(report));
