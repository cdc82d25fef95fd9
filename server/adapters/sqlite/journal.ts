import type { Reading } from '../../../shared/model/probe.ts';
import type { AppendResult, Journal, ProbeProgress, ProbeTimes } from '../../ports.ts';
import type { Db } from './database.ts';

/** Progress is noted at least this often (ms of record time), so that `latest` scans no more than this. */
export const PROGRESS_INTERVAL_MS = 10 * 60_000;

type Row = { tMs: number; probeId: number; value: number };

/** The journal of readings in SQLite, in time order. */
export function sqliteJournal(db: Db): Journal {
  const insert = db.prepare<[number, number, number]>(
    'INSERT INTO reading (t_ms, probe_id, value) VALUES (?, ?, ?) ON CONFLICT DO NOTHING',
  );
  const stored = db.prepare<[number, number], { value: number }>(
    'SELECT value FROM reading WHERE t_ms = ? AND probe_id = ?',
  );
  const newest = db.prepare<[number, number], Row>(
    `SELECT t_ms AS tMs, probe_id AS probeId, value FROM reading
     WHERE t_ms >= ? AND probe_id = ? ORDER BY t_ms DESC LIMIT 1`,
  );
  const note = db.prepare<[number, number | null, number]>(
    'UPDATE probe SET seen_ms = max(?, ifnull(seen_ms, 0)), cadence_ms = ? WHERE id = ?',
  );
  const progress = db.prepare<[number], ProbeProgress & { seenMs: number | null }>(
    'SELECT id AS probeId, seen_ms AS seenMs, cadence_ms AS cadenceMs FROM probe WHERE id = ?',
  );

  return {
    append({ probeId, tMs, value }: Reading): AppendResult {
      if (insert.run(tMs, probeId, value).changes === 1) return 'stored';
      return stored.get(tMs, probeId)?.value === value ? 'repeat' : 'conflict';
    },
    window: (query) => readWindow(db, query),
    latest: (probeId) => newest.get(progress.get(probeId)?.seenMs ?? 0, probeId) ?? null,
    oldestMs(probeIds) {
      const sql = `SELECT t_ms AS tMs FROM reading WHERE probe_id IN (${list(probeIds)}) ORDER BY t_ms LIMIT 1`;
      return db.prepare<[], { tMs: number }>(sql).get()?.tMs ?? null;
    },
    noteProgress: ({ probeId, seenMs, cadenceMs }) => void note.run(seenMs, cadenceMs, probeId),
    progressOf(probeId) {
      const row = progress.get(probeId);
      return row && row.seenMs !== null ? row : null;
    },
  };
}

function readWindow(
  db: Db,
  query: { probeIds: readonly number[]; fromMs: number; toMs: number },
): ProbeTimes[] {
  const { probeIds, fromMs, toMs } = query;
  if (probeIds.length === 0) return [];
  const sql = `SELECT t_ms, probe_id, value FROM reading
    WHERE t_ms BETWEEN ? AND ? AND probe_id IN (${list(probeIds)}) ORDER BY t_ms`;
  const rows = db.prepare<[number, number], [number, number, number]>(sql).raw().all(fromMs, toMs);
  const columns = new Map<number, { timesMs: number[]; values: number[] }>();
  for (const [tMs, probeId, value] of rows) {
    let column = columns.get(probeId);
    if (!column) {
      column = { timesMs: [], values: [] };
      columns.set(probeId, column);
    }
    column.timesMs.push(tMs);
    column.values.push(value);
  }
  return [...columns]
    .sort(([a], [b]) => a - b)
    .map(([probeId, { timesMs, values }]) => ({
      probeId,
      timesMs: Float64Array.from(timesMs),
      values: Float64Array.from(values),
    }));
}

/** Ids are our own integers, never text from outside. */
function list(ids: readonly number[]): string {
  return ids.map((id) => Math.trunc(id)).join(',');
}
