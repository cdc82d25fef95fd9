import { DEFAULT_MAX_GAP_MS } from '../../../shared/exposure/coverage.ts';
import type { ProbeRecord } from '../../../shared/exposure/series.ts';
import type { Reading } from '../../../shared/model/probe.ts';
import { decodeGroup, encodeGroup } from '../../domain/seal/group.ts';
import { summaryOf } from '../../domain/seal/summary.ts';
import type { AppendResult, Journal, ProbeProgress, ProbeTimes, SealResult } from '../../ports.ts';
import type { Db } from './database.ts';
import { hourOf, OpenHours, withOpen } from './open-hours.ts';
import { sealedHours } from './sealed.ts';

/** An hour is sealed once it has been over for this long; what comes later is sealed into it again. */
export const SEAL_AFTER_MS = 10 * 60_000;

type Row = { readonly id: number; readonly maxHour: number };

/** The parts of the record that a transaction must be able to take back. */
export type RecordJournal = Journal & {
  /** The readings of the transaction under way. */
  pending(): readonly Reading[];
  /** Writes the readings of the transaction as one group. */
  flush(): void;
  /** Holds in memory again what is committed. */
  rollBack(): void;
  /** Removes the readings of probes, inside the caller's transaction. */
  removeProbes(probeIds: readonly number[]): void;
};

/**
 * The readings in SQLite: appended group by group, one row a commit, and sealed hour by hour into blocks.
 * What is not sealed is also held in memory, in the order of time. Reads take both together.
 */
export function sqliteJournal(db: Db): RecordJournal {
  const sealed = sealedHours(db);
  let open = new OpenHours();
  let rows: Row[] = [];
  let pending: Reading[] = [];
  const insert = db.prepare<[Uint8Array]>('INSERT INTO journal (body) VALUES (?)');
  const remove = db.prepare<[number]>('DELETE FROM journal WHERE id = ?');
  const rewrite = db.prepare<[Uint8Array, number]>('UPDATE journal SET body = ? WHERE id = ?');
  const all = db.prepare<[], { id: number; body: Uint8Array }>('SELECT id, body FROM journal ORDER BY id');
  const note = db.prepare<[number | null, number]>('UPDATE probe SET cadence_ms = ? WHERE id = ?');
  const progress = db.prepare<[number], ProbeProgress>(
    'SELECT id AS probeId, cadence_ms AS cadenceMs FROM probe WHERE id = ?',
  );

  const append = (reading: Reading): AppendResult => {
    const known = sealed.hour(reading.probeId, hourOf(reading.tMs));
    const result = inRecord(known, reading) ?? open.put(reading);
    if (result === 'stored') pending.push(reading);
    return result;
  };
  /** Holds in memory what is committed and not sealed, no more and no less. */
  const load = () => {
    open = new OpenHours();
    sealed.forget();
    rows = [];
    for (const { id, body } of all.all()) {
      const group = decodeGroup(body);
      for (const reading of group) append(reading);
      rows.push({ id, maxHour: maxHourOf(group) });
    }
    pending = [];
  };
  load();

  return {
    append,
    flush() {
      if (pending.length === 0) return;
      const id = Number(insert.run(encodeGroup(pending)).lastInsertRowid);
      rows.push({ id, maxHour: maxHourOf(pending) });
      pending = [];
    },
    pending: () => pending,
    rollBack: load,
    window: ({ probeIds, fromMs, toMs }) =>
      [...probeIds]
        .sort((a, b) => a - b)
        .map((probeId) => ({ probeId, ...readWindow({ probeId, fromMs, toMs }, { sealed, open }) }))
        .filter(({ timesMs }) => timesMs.length > 0),
    latest(probeId) {
      const lastOpen = open.hoursOf(probeId).at(-1);
      const last = lastOpen === undefined ? null : open.hour(probeId, lastOpen);
      const at = (last?.timesMs.length ?? 0) - 1;
      const newest = sealed.newest(probeId);
      if (!last || (newest && newest.lastMs > (last.timesMs[at] as number))) {
        return newest && { probeId, tMs: newest.lastMs, value: newest.lastValue };
      }
      return { probeId, tMs: last.timesMs[at] as number, value: last.values[at] as number };
    },
    oldestMs(probeIds) {
      const firsts = probeIds.flatMap((probeId) => {
        const firstOpen = open.hoursOf(probeId)[0];
        const inOpen = firstOpen === undefined ? undefined : open.hour(probeId, firstOpen)?.timesMs[0];
        return [sealed.oldest(probeId)?.firstMs, inOpen].filter((ms) => ms !== undefined);
      });
      return firsts.length === 0 ? null : Math.min(...firsts);
    },
    hours(probeId, { fromMs, toMs }) {
      const [first, last] = [hourOf(fromMs), hourOf(toMs - 1)];
      const hours = new Map(sealed.summaries(probeId, { first, last }).map((each) => [each.hour, each]));
      for (const hour of open.hoursOf(probeId).filter((each) => each >= first && each <= last)) {
        const known = sealed.hour(probeId, hour);
        const late = open.hour(probeId, hour);
        if (!late) continue;
        const record = known ? withOpen(known, late) : late;
        hours.set(hour, { hour, ...summaryOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS }) });
      }
      return [...hours.values()].sort((a, b) => a.hour - b.hour);
    },
    openHours: (probeId) => open.hoursOf(probeId),
    noteProgress: ({ probeId, cadenceMs }) => void note.run(cadenceMs, probeId),
    progressOf: (probeId) => progress.get(probeId) ?? null,
    seal({ nowMs, limit }): SealResult {
      const openFrom = hourOf(nowMs - SEAL_AFTER_MS);
      const closed = open.before(openFrom, limit);
      if (closed.length > 0) {
        db.transaction(() => {
          for (const { probeId, hour } of closed) {
            const late = open.hour(probeId, hour);
            const known = sealed.hour(probeId, hour);
            if (late) sealed.put(probeId, hour, known ? withOpen(known, late) : late);
          }
        }).immediate();
        for (const each of closed) open.drop(each);
      }
      const dropped = closed.length < limit ? dropSealedRows(openFrom, limit) : 0;
      return { sealed: closed, more: closed.length === limit || dropped === limit };
    },
    removeProbes(probeIds) {
      const gone = new Set(probeIds);
      for (const { id, body } of all.all()) {
        const group = decodeGroup(body);
        const kept = group.filter((reading) => !gone.has(reading.probeId));
        if (kept.length === group.length) continue;
        if (kept.length > 0) rewrite.run(encodeGroup(kept), id);
        else remove.run(id);
      }
      for (const probeId of probeIds) sealed.remove(probeId);
      load();
    },
  };

  /** Every reading of these rows is sealed: their hours were over, and none of those is open any more. */
  function dropSealedRows(openFrom: number, limit: number): number {
    const done = rows.filter(({ maxHour }) => maxHour < openFrom).slice(0, limit);
    if (done.length === 0) return 0;
    db.transaction(() => {
      for (const { id } of done) remove.run(id);
    }).immediate();
    const gone = new Set(done.map(({ id }) => id));
    rows = rows.filter(({ id }) => !gone.has(id));
    return done.length;
  }
}

function maxHourOf(readings: readonly Reading[]): number {
  return readings.reduce((max, { tMs }) => Math.max(max, hourOf(tMs)), Number.NEGATIVE_INFINITY);
}

function inRecord(record: ProbeRecord | null, { tMs, value }: Reading): AppendResult | null {
  if (!record) return null;
  let [low, high] = [0, record.timesMs.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((record.timesMs[middle] as number) < tMs) low = middle + 1;
    else high = middle;
  }
  if (record.timesMs[low] !== tMs) return null;
  return record.values[low] === value ? 'repeat' : 'conflict';
}

type Stores = { readonly sealed: ReturnType<typeof sealedHours>; readonly open: OpenHours };
type Window = { readonly probeId: number; readonly fromMs: number; readonly toMs: number };

function readWindow(
  { probeId, fromMs, toMs }: Window,
  { sealed, open }: Stores,
): Omit<ProbeTimes, 'probeId'> {
  const [first, last] = [hourOf(fromMs), hourOf(toMs)];
  let record = sealed.read(probeId, { first, last });
  const parts = open.hoursOf(probeId).filter((hour) => hour >= first && hour <= last);
  const late = joined(parts.map((hour) => open.hour(probeId, hour)).filter((hour) => hour !== null));
  const sealedUntil = record.timesMs.at(-1) ?? Number.NEGATIVE_INFINITY;
  if ((late.timesMs[0] ?? Number.POSITIVE_INFINITY) > sealedUntil) record = joined([record, late]);
  else record = withOpen(record, late);
  return between(record, { fromMs, toMs });
}

function joined(records: readonly ProbeRecord[]): ProbeRecord {
  const [only] = records;
  if (records.length === 1 && only) return only;
  const count = records.reduce((sum, { timesMs }) => sum + timesMs.length, 0);
  const whole = { timesMs: new Float64Array(count), values: new Float64Array(count) };
  let at = 0;
  for (const { timesMs, values } of records) {
    whole.timesMs.set(timesMs, at);
    whole.values.set(values, at);
    at += timesMs.length;
  }
  return whole;
}

function between(
  { timesMs, values }: ProbeRecord,
  { fromMs, toMs }: { fromMs: number; toMs: number },
): ProbeRecord {
  const start = lowerBound(timesMs, fromMs);
  const end = lowerBound(timesMs, toMs + 0.5);
  return { timesMs: timesMs.subarray(start, end), values: values.subarray(start, end) };
}

function lowerBound(timesMs: Float64Array, tMs: number): number {
  let [low, high] = [0, timesMs.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((timesMs[middle] as number) < tMs) low = middle + 1;
    else high = middle;
  }
  return low;
}
