/** The hourly question, as the tables are asked it; SQLite divides whole numbers whole, DuckDB has a sign for it. */
export const HOURLY_SQL = `SELECT t_ms HOUR_OF 3600000 AS hour, min(value) AS low, avg(value) AS mean, max(value) AS high
  FROM reading GROUP BY hour ORDER BY hour`;

/** What an answer to the hourly question comes to, for comparison. */
export type Hourly = { readonly hours: number; readonly lowSum: number; readonly highSum: number };
