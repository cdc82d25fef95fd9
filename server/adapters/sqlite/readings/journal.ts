import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Reading } from '../../../../shared/model/probes/probe.ts';
import type { AppendResult, Journal, ProbeProgress, SealResult } from '../../../ports.ts';
import type { Db } from '../database.ts';
import { groupRows } from './groups.ts';
import type { HorizonRow } from './horizon.ts';
import { hourOf, OpenHours, withOpen } from './open-hours.ts';
import { type Both, hoursIn, inRecord, latestIn, minutesIn, oldestIn, readWindow } from './read-both.ts';
import { sealedHours } from './sealed.ts';

/** An hour is sealed once it has been over for this long; what comes later is sealed into it again. */
const SEAL_AFTER_MS = 10 * 60_000;

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
  /**
   * Takes the readings of probes that get no more out of what is not sealed, up to so many groups in a transaction of
   * its own. @returns true while more groups are to be looked through
   */
  removeSome(probeIds: readonly number[], limit: number): boolean;
  /** Number of the newest group of readings, 0 without one. */
  newestGroup(): number;
  /**
   * Takes readings out, inside a caller's transaction that appended none: those that are meant of what is not sealed,
   * and those of sealed hours that are dated after a time.
   * @param give is handed them, a probe's hour at a time
   */
  takeOut(
    of: { readonly isMeant: (reading: Reading, group: number) => boolean; readonly afterMs: number | null },
    give: (probeId: number, record: ProbeRecord) => void,
  ): void;
};

/**
 * The readings in SQLite: appended group by group, one row a commit, and sealed hour by hour into blocks.
 * What is not sealed is also held in memory, in the order of time. Reads take both together.
 */
export function sqliteJournal(db: Db, horizon: HorizonRow): RecordJournal {
  const sealed = sealedHours(db);
  const groups = groupRows(db);
  let both: Both = { sealed, open: new OpenHours() };
  let pending: Reading[] = [];

  const append = (reading: Reading): AppendResult => {
    // minutes are in their place: what may still stand in the journal is sealed, and nothing so old is accepted
    if (hourOf(reading.tMs) < (horizon.get()?.droppedHour ?? Number.NEGATIVE_INFINITY)) return 'repeat';
    const known = sealed.hour(reading.probeId, hourOf(reading.tMs));
    const result = inRecord(known, reading) ?? both.open.put(reading);
    if (result === 'stored') pending.push(reading);
    return result;
  };
  /** Holds in memory what is committed and not sealed, no more and no less. */
  const load = () => {
    both = { sealed, open: new OpenHours() };
    sealed.forget();
    groups.load(append);
    pending = [];
  };
  load();

  return {
    append,
    pending: () => pending,
    flush() {
      if (pending.length > 0) groups.add(pending);
      pending = [];
    },
    rollBack: load,
    removeProbes(probeIds) {
      const gone = new Set(probeIds);
      groups.takeOut((reading) => gone.has(reading.probeId));
      for (const probeId of probeIds) sealed.remove(probeId);
      load();
    },
    removeSome(probeIds, limit) {
      const more = groups.removeSome(probeIds, limit);
      // a group that could not be written brings them back
      for (const probeId of probeIds) both.open.forget(probeId);
      if (probeIds.length > 0) sealed.forget();
      return more;
    },
    window: (query) => windowsIn(both, query),
    minutes: (probeId, span) => minutesIn(both, { probeId, ...span }),
    dropReadings: (hour, probeIds, measured) =>
      probeIds.filter((id) => sealed.drop(id, hour, (record) => measured(id, record))).length,
    newestGroup: groups.newest,
    takeOut({ isMeant, afterMs }, give) {
      for (const { probeId, ...record } of byProbeHour(groups.takeOut(isMeant))) give(probeId, record);
      if (afterMs !== null) sealed.takeOutAfter(afterMs, give);
      load();
    },
    latest: (probeId, notAfterMs) => latestIn(both, probeId, notAfterMs),
    oldestMs: (probeIds) => oldestIn(both, probeIds),
    hours: (probeId, span) => hoursIn(both, { probeId, ...span }),
    openHours: (probeId) => both.open.hoursOf(probeId),
    seal: (due) => sealDue(due, { db, both, groups }),
    ...progressNotes(db),
  };
}

function windowsIn(both: Both, { probeIds, orMinutes = false, ...span }: Parameters<Journal['window']>[0]) {
  return [...probeIds]
    .sort((a, b) => a - b)
    .map((probeId) => ({ probeId, ...readWindow({ probeId, orMinutes, ...span }, both) }))
    .filter(({ timesMs }) => timesMs.length > 0);
}

type Sealing = { readonly db: Db; readonly both: Both; readonly groups: ReturnType<typeof groupRows> };

/** Seals some hours that are over, and clears groups of which nothing is left unsealed. */
function sealDue(
  { nowMs, limit }: Parameters<Journal['seal']>[0],
  { db, both, groups }: Sealing,
): SealResult {
  const openFrom = hourOf(nowMs - SEAL_AFTER_MS);
  const closed = both.open.before(openFrom, limit);
  sealHours(db, both, closed);
  // only when every hour before is sealed may groups go
  const left = closed.length === limit || both.open.before(openFrom, 1).length > 0;
  const cleared = left ? 0 : groups.clearBefore(openFrom, limit);
  return { sealed: closed, more: left || cleared === limit };
}

/** Readings of any probes, put together by probe and hour, each in the order of its times. */
function byProbeHour(readings: readonly Reading[]): (ProbeRecord & { readonly probeId: number })[] {
  const hours = Map.groupBy(readings, ({ probeId, tMs }) => `${probeId}/${hourOf(tMs)}`);
  return [...hours.values()].map((hour) => {
    // a group may hold one time twice when its commit came again
    const inOrder = [...new Map(hour.map((reading) => [reading.tMs, reading])).values()];
    inOrder.sort((a, b) => a.tMs - b.tMs);
    return {
      probeId: (hour[0] as Reading).probeId,
      timesMs: Float64Array.from(inOrder, ({ tMs }) => tMs),
      values: Float64Array.from(inOrder, ({ value }) => value),
    };
  });
}

type Hour = { readonly probeId: number; readonly hour: number };

function sealHours(db: Db, { sealed, open }: Both, hours: readonly Hour[]): void {
  if (hours.length === 0) return;
  const work = db.transaction(() => {
    for (const { probeId, hour } of hours) {
      const late = open.hour(probeId, hour);
      const known = sealed.hour(probeId, hour);
      if (late) sealed.put(probeId, hour, known ? withOpen(known, late) : late);
    }
  });
  try {
    work.immediate();
  } catch (cause) {
    sealed.forget();
    throw cause;
  }
  for (const each of hours) open.drop(each);
}

function progressNotes(db: Db): Pick<Journal, 'noteProgress' | 'progressOf'> {
  const note = db.prepare<[number | null, number]>('UPDATE probe SET cadence_ms = ? WHERE id = ?');
  const progress = db.prepare<[number], ProbeProgress>(
    'SELECT id AS probeId, cadence_ms AS cadenceMs FROM probe WHERE id = ?',
  );
  return {
    noteProgress: ({ probeId, cadenceMs }) => void note.run(cadenceMs, probeId),
    progressOf: (probeId) => progress.get(probeId) ?? null,
  };
}
