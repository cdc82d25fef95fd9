import Database from 'better-sqlite3';
import { HOURLY_SQL } from './sql.ts';

/** The hourly question to a plain table, asked of a process that was just started. */
const startMs = performance.now();
const db = new Database(String(process.argv[2]), { readonly: true });
const rows = db.prepare<[], { low: number; high: number }>(HOURLY_SQL.replace('HOUR_OF', '/')).all();
const lowSum = rows.reduce((sum, { low }) => sum + low, 0);
const highSum = rows.reduce((sum, { high }) => sum + high, 0);
const endMs = performance.now();
console.log(
  JSON.stringify({ hours: rows.length, lowSum, highSum, tookMs: endMs - startMs, processMs: endMs }),
);
