import { Worker } from 'node:worker_threads';
import { Fault } from '../../../../shared/faults.ts';
import type { CopyRecord } from '../../../domain/backups/backup-service.ts';

/** Long work on the database file, for a thread of its own. */
export type Job =
  | { readonly kind: 'copy'; readonly from: string; readonly to: string }
  | { readonly kind: 'check'; readonly file: string };

export type Report =
  | { readonly kind: 'progress'; readonly pct: number }
  | { readonly kind: 'copied' }
  | { readonly kind: 'checked'; readonly damage: string | null }
  | { readonly kind: 'failed'; readonly message: string };

const WORKER = new URL('./worker.ts', import.meta.url);

/**
 * Makes proved copies of a database file in a thread of its own: taking readings in never waits for it.
 * @returns what starts a copy; its `done` rejects with Fault `backup-failed`
 */
export function copierOf(from: string): CopyRecord {
  return ({ to, onProgress }) => {
    const { done, stop } = start({ kind: 'copy', from, to }, (pct) => onProgress(pct));
    const copied = done.then((report) => {
      if (report.kind !== 'copied') throw failed('backup-failed', wordsOf(report));
    });
    return { done: copied, stop };
  };
}

/**
 * Checks a database file in a thread of its own.
 * @returns what is wrong with it, or null when it is sound; `done` rejects with Fault `store-failed`
 */
export function checkBeside(file: string): { done: Promise<string | null>; stop: () => Promise<void> } {
  const { done, stop } = start({ kind: 'check', file }, () => undefined);
  const checked = done.then((report) => {
    if (report.kind !== 'checked') throw failed('store-failed', wordsOf(report));
    return report.damage;
  });
  return { done: checked, stop };
}

type Final = Exclude<Report, { kind: 'progress' }>;

function start(job: Job, onProgress: (pct: number) => void) {
  const worker = new Worker(WORKER, { workerData: job });
  const { promise: done, resolve } = Promise.withResolvers<Final>();
  worker.on('message', (report: Report) => {
    if (report.kind === 'progress') onProgress(report.pct);
    else resolve(report);
  });
  worker.once('error', (cause: Error) => resolve({ kind: 'failed', message: cause.message }));
  worker.once('exit', () => resolve({ kind: 'failed', message: 'It was stopped before its end.' }));
  const stop = async () => {
    await worker.terminate();
  };
  return { done, stop };
}

function wordsOf(report: Final): string {
  return report.kind === 'failed' ? report.message : 'the thread answered something else';
}

function failed(code: 'backup-failed' | 'store-failed', message: string): Fault {
  return new Fault({ code, message });
}
