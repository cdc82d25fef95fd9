import { DEFAULT_MAX_GAP_MS } from '../../../shared/exposure/coverage.ts';
import type { ProbeRecord } from '../../../shared/exposure/series.ts';
import { decodeBlock, decodeBlockInto, encodeBlock } from '../../domain/seal/block.ts';
import { summaryOf } from '../../domain/seal/summary.ts';
import type { HourSummary } from '../../ports.ts';
import type { Db } from './database.ts';

/** Decoded hours kept at hand for late readings and repeats. */
const MAX_AT_HAND = 256;

type SummaryRow = HourSummary;
type BlockRow = { hour: number; count: number; block: Uint8Array };

const SUMMARY = `hour, count, first_ms AS firstMs, last_ms AS lastMs, first_value AS firstValue,
  last_value AS lastValue, min_value AS min, max_value AS max, covered_ms AS coveredMs, area`;

function statements(db: Db) {
  const put = db.prepare(
    `INSERT INTO sealed (probe_id, hour, count, first_ms, last_ms, first_value, last_value, min_value, max_value,
       covered_ms, area, block)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (probe_id, hour) DO UPDATE SET count = excluded.count, first_ms = excluded.first_ms,
       last_ms = excluded.last_ms, first_value = excluded.first_value, last_value = excluded.last_value,
       min_value = excluded.min_value, max_value = excluded.max_value, covered_ms = excluded.covered_ms, area = excluded.area,
       block = excluded.block`,
  );
  const one = db.prepare<[number, number], { block: Uint8Array }>(
    'SELECT block FROM sealed WHERE probe_id = ? AND hour = ?',
  );
  const span = db.prepare<[number, number, number], BlockRow>(
    'SELECT hour, count, block FROM sealed WHERE probe_id = ? AND hour BETWEEN ? AND ? ORDER BY hour',
  );
  const summaries = db.prepare<[number, number, number], SummaryRow>(
    `SELECT ${SUMMARY} FROM sealed WHERE probe_id = ? AND hour BETWEEN ? AND ? ORDER BY hour`,
  );
  const newest = db.prepare<[number], SummaryRow>(
    `SELECT ${SUMMARY} FROM sealed WHERE probe_id = ? ORDER BY hour DESC LIMIT 1`,
  );
  const oldest = db.prepare<[number], SummaryRow>(
    `SELECT ${SUMMARY} FROM sealed WHERE probe_id = ? ORDER BY hour LIMIT 1`,
  );
  const remove = db.prepare<[number]>('DELETE FROM sealed WHERE probe_id = ?');
  return { put, one, span, summaries, newest, oldest, remove };
}

type Statements = ReturnType<typeof statements>;

export type SealedHours = ReturnType<typeof sealedHours>;

/** The sealed hours in SQLite. */
export function sealedHours(db: Db) {
  const { put, span, summaries, newest, oldest, remove, one } = statements(db);
  const atHand = hoursAtHand({ newest, one });

  return {
    hour: atHand.hour,
    put(probeId: number, at: number, record: ProbeRecord) {
      const summary = summaryOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS });
      const { count, firstMs, lastMs, firstValue, lastValue, min, max, coveredMs, area } = summary;
      const block = encodeBlock(record);
      put.run(probeId, at, count, firstMs, lastMs, firstValue, lastValue, min, max, coveredMs, area, block);
      atHand.changed(probeId, at);
    },
    /** All readings of a probe in the hours from first to last, and which hours those were. */
    read(probeId: number, hours: { first: number; last: number }): ProbeRecord {
      const rows = span.all(probeId, hours.first, hours.last);
      const count = rows.reduce((sum, row) => sum + row.count, 0);
      const record = { timesMs: new Float64Array(count), values: new Float64Array(count) };
      let at = 0;
      for (const { block } of rows) at = decodeBlockInto(block, { ...record, at });
      return record;
    },
    summaries: (probeId: number, hours: { first: number; last: number }) =>
      summaries.all(probeId, hours.first, hours.last),
    newest: (probeId: number) => newest.get(probeId) ?? null,
    oldest: (probeId: number) => oldest.get(probeId) ?? null,
    remove(probeId: number) {
      remove.run(probeId);
      atHand.forget();
    },
    /** Forgets what is held in memory, as when a transaction was rolled back. */
    forget: atHand.forget,
  };
}

/** Hours that were decoded lately, for late readings and repeats. */
function hoursAtHand({ newest, one }: Pick<Statements, 'newest' | 'one'>) {
  const records = new Map<string, ProbeRecord>();
  const newestHours = new Map<number, number>();

  /** Most readings are newer than all that is sealed: no need to look for them there. */
  const newestHour = (probeId: number): number => {
    const known = newestHours.get(probeId);
    if (known !== undefined) return known;
    const found = newest.get(probeId)?.hour ?? Number.NEGATIVE_INFINITY;
    newestHours.set(probeId, found);
    return found;
  };
  return {
    /** The sealed readings of an hour, or null. */
    hour(probeId: number, at: number): ProbeRecord | null {
      if (at > newestHour(probeId)) return null;
      const key = `${probeId}/${at}`;
      const known = records.get(key);
      if (known) return known;
      const row = one.get(probeId, at);
      if (!row) return null;
      const record = decodeBlock(row.block);
      if (records.size >= MAX_AT_HAND) records.delete(records.keys().next().value ?? '');
      records.set(key, record);
      return record;
    },
    changed(probeId: number, at: number) {
      records.delete(`${probeId}/${at}`);
      newestHours.delete(probeId);
    },
    forget() {
      records.clear();
      newestHours.clear();
    },
  };
}
