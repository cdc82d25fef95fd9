import { DEFAULT_MAX_GAP_MS } from '../../../../shared/exposure/coverage.ts';
import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import { invariant } from '../../../../shared/faults.ts';
import { decodeBlock, decodeBlockInto, encodeBlock } from '../../../domain/seal/block.ts';
import {
  decodeMinutes,
  encodeMinutes,
  holdsMinutes,
  type Minutes,
  rollUp,
} from '../../../domain/seal/minutes.ts';
import { summaryOf } from '../../../domain/seal/summary.ts';
import type { HourSummary } from '../../../ports.ts';
import type { Db } from '../database.ts';
import { hourOf } from './open-hours.ts';

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
  const upTo = db.prepare<[number, number], SummaryRow>(
    `SELECT ${SUMMARY} FROM sealed WHERE probe_id = ? AND hour <= ? ORDER BY hour DESC LIMIT 1`,
  );
  const probes = db.prepare<[], number>('SELECT DISTINCT probe_id FROM sealed').pluck();
  const from = db.prepare<[number, number], BlockRow>(
    'SELECT hour, count, block FROM sealed WHERE probe_id = ? AND hour >= ? ORDER BY hour',
  );
  const removeHour = db.prepare<[number, number]>('DELETE FROM sealed WHERE probe_id = ? AND hour = ?');
  const rewrite = db.prepare<[Uint8Array, number, number]>(
    'UPDATE sealed SET block = ? WHERE probe_id = ? AND hour = ?',
  );
  return { upTo, probes, from, removeHour, rewrite, put, one, span, summaries, newest, oldest, remove };
}

type Statements = ReturnType<typeof statements>;

export type SealedHours = ReturnType<typeof sealedHours>;

/** The sealed hours in SQLite. */
export function sealedHours(db: Db) {
  const prepared = statements(db);
  const { put, span, summaries, newest, oldest, remove, one, rewrite, upTo } = prepared;
  const atHand = hoursAtHand({ newest, oldest, one });
  const putHour = (probeId: number, at: number, record: ProbeRecord) => {
    const summary = summaryOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS });
    const { count, firstMs, lastMs, firstValue, lastValue, min, max, coveredMs, area } = summary;
    const block = encodeBlock(record);
    put.run(probeId, at, count, firstMs, lastMs, firstValue, lastValue, min, max, coveredMs, area, block);
    atHand.changed(probeId, at);
  };

  return {
    hour: atHand.hour,
    put: putHour,
    /** What the newest hour of a probe that begins no later than a time comes to, or null. */
    upTo: (probeId: number, hour: number): SummaryRow | null => upTo.get(probeId, hour) ?? null,
    /** Takes out the readings dated after a time, hour by hour; what was dropped for its age stays. */
    takeOutAfter: takingOut(prepared, { putHour, forget: atHand.forget }),
    /**
     * All readings of a probe in the hours from first to last; where they were dropped for their age there are
     * none, or with `orMinutes` one a minute, its mean.
     */
    read(probeId: number, { first, last, orMinutes }: Hours & { readonly orMinutes: boolean }): ProbeRecord {
      const rows = span.all(probeId, first, last).map((row) => counted(row, orMinutes));
      const count = rows.reduce((sum, row) => sum + row.count, 0);
      const record = { timesMs: new Float64Array(count), values: new Float64Array(count) };
      let at = 0;
      for (const row of rows) {
        if (row.count === 0) continue;
        if (row.minutes === null) {
          at = decodeBlockInto(row.block, { ...record, at });
          continue;
        }
        record.timesMs.set(row.minutes.timesMs, at);
        record.values.set(row.minutes.means, at);
        at += row.count;
      }
      return record;
    },
    /** Minutes of the hours from first to last, hour by hour: those kept, or made of the readings. */
    minutes: (probeId: number, { first, last }: Hours): { hour: number; minutes: Minutes }[] =>
      span.all(probeId, first, last).map(({ hour, block }) => ({
        hour,
        minutes: holdsMinutes(block) ? decodeMinutes(block) : rollUp(decodeBlock(block)),
      })),
    /**
     * Keeps minutes in place of the readings of an hour; false where there are none.
     * @param measured the readings without those that are no measurement
     */
    drop(probeId: number, at: number, measured: (record: ProbeRecord) => ProbeRecord): boolean {
      const row = one.get(probeId, at);
      if (!row || holdsMinutes(row.block)) return false;
      const record = decodeBlock(row.block);
      const kept = measured(record);
      rewrite.run(encodeMinutes(rollUp(kept.timesMs.length > 0 ? kept : record)), probeId, at);
      atHand.changed(probeId, at);
      return true;
    },
    summaries: (probeId: number, { first, last }: Hours) => summaries.all(probeId, first, last),
    newest: (probeId: number) => atHand.ends(probeId).newest,
    oldest: (probeId: number) => atHand.ends(probeId).oldest,
    remove(probeId: number) {
      remove.run(probeId);
      atHand.forget();
    },
    /** Forgets what is held in memory, as when a transaction was rolled back. */
    forget: atHand.forget,
  };
}

type Hands = {
  readonly putHour: (probeId: number, hour: number, record: ProbeRecord) => void;
  readonly forget: () => void;
};

function takingOut({ probes, from, removeHour }: Statements, { putHour, forget }: Hands) {
  return (afterMs: number, give: (probeId: number, record: ProbeRecord) => void): void => {
    for (const probeId of probes.all())
      for (const { hour, block } of from.all(probeId, hourOf(afterMs))) {
        if (holdsMinutes(block)) continue;
        const [kept, out] = parted(decodeBlock(block), afterMs);
        if (out.timesMs.length === 0) continue;
        give(probeId, out);
        if (kept.timesMs.length > 0) putHour(probeId, hour, kept);
        else removeHour.run(probeId, hour);
      }
    forget();
  };
}

/** A record up to a time, and after it. */
function parted({ timesMs, values }: ProbeRecord, atMs: number): [ProbeRecord, ProbeRecord] {
  const after = timesMs.findIndex((tMs) => tMs > atMs);
  const at = after < 0 ? timesMs.length : after;
  return [
    { timesMs: timesMs.slice(0, at), values: values.slice(0, at) },
    { timesMs: timesMs.slice(at), values: values.slice(at) },
  ];
}

type Hours = { readonly first: number; readonly last: number };

function counted({ count, block }: BlockRow, orMinutes: boolean) {
  if (!holdsMinutes(block)) return { count, block, minutes: null };
  const minutes = orMinutes ? decodeMinutes(block) : null;
  return { count: minutes?.timesMs.length ?? 0, block, minutes };
}

type Ends = { readonly newest: SummaryRow | null; readonly oldest: SummaryRow | null };

/** Hours that were decoded lately, for late readings and repeats, and the first and the last of each probe. */
function hoursAtHand({ newest, oldest, one }: Pick<Statements, 'newest' | 'oldest' | 'one'>) {
  const records = new Map<string, ProbeRecord>();
  const known = new Map<number, Ends>();

  const ends = (probeId: number): Ends => {
    const found = known.get(probeId) ?? {
      newest: newest.get(probeId) ?? null,
      oldest: oldest.get(probeId) ?? null,
    };
    known.set(probeId, found);
    return found;
  };
  return {
    ends,
    /** The sealed readings of an hour, or null. */
    hour(probeId: number, at: number): ProbeRecord | null {
      // most readings are newer than all that is sealed: no need to look for them there
      if (at > (ends(probeId).newest?.hour ?? Number.NEGATIVE_INFINITY)) return null;
      const key = `${probeId}/${at}`;
      const atHand = records.get(key);
      if (atHand) return atHand;
      const row = one.get(probeId, at);
      if (!row) return null;
      invariant(!holdsMinutes(row.block), `hour ${at} of probe ${probeId} was opened after it was dropped`);
      const record = decodeBlock(row.block);
      if (records.size >= MAX_AT_HAND) records.delete(records.keys().next().value ?? '');
      records.set(key, record);
      return record;
    },
    changed(probeId: number, at: number) {
      records.delete(`${probeId}/${at}`);
      known.delete(probeId);
    },
    forget() {
      records.clear();
      known.clear();
    },
  };
}
