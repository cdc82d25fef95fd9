import { DuckDBInstance } from '@duckdb/node-api';
import { HOURLY_SQL } from './sql.ts';

/** The hourly question to DuckDB, asked of a process that was just started. */
const startMs = performance.now();
const instance = await DuckDBInstance.create(String(process.argv[2]), { access_mode: 'READ_ONLY' });
const connection = await instance.connect();
const reader = await connection.runAndReadAll(HOURLY_SQL.replace('HOUR_OF', '//'));
const [hours, lows, , highs] = reader.getColumns();
const sum = (values: readonly unknown[] | undefined) =>
  (values ?? []).reduce<number>((s, v) => s + Number(v), 0);
const [lowSum, highSum] = [sum(lows), sum(highs)];
const endMs = performance.now();
console.log(
  JSON.stringify({ hours: hours?.length ?? 0, lowSum, highSum, tookMs: endMs - startMs, processMs: endMs }),
);
process.exit(0);
