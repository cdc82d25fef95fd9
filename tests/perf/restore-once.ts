import { copyFileSync, readFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import { z } from 'zod';
import { restoreRecord } from '../../server/adapters/sqlite/restore/restore.ts';
import { answer } from './in-child.ts';

/** One restore, or one of the plain ways to copy a database, in a process of its own. */
const orderSchema = z.object({
  how: z.enum(['restore', 'vacuum', 'copy']),
  from: z.string(),
  to: z.string(),
});

await answer(orderSchema, ({ how, from, to }) => {
  const startMs = performance.now();
  if (how === 'restore')
    restoreRecord({ from, to, named: 'the backup', nowMs: Date.now(), onProgress: () => undefined });
  else if (how === 'copy') copyFileSync(from, to);
  else vacuumInto(from, to);
  return { tookMs: performance.now() - startMs, peakKiB: peakKiB() };
});

function vacuumInto(from: string, to: string): void {
  const db = new Database(from, { readonly: true });
  db.prepare('VACUUM INTO ?').run(to);
  db.close();
}

function peakKiB(): number {
  return Number(/^VmHWM:\s*(\d+) kB/m.exec(readFileSync('/proc/self/status', 'utf8'))?.[1]);
}
