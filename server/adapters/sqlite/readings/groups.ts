import type { Reading } from '../../../../shared/model/probes/probe.ts';
import { decodeGroup, encodeGroup } from '../../../domain/seal/group.ts';
import type { Db } from '../database.ts';
import { hourOf } from './open-hours.ts';

type BodyRow = { readonly id: number; readonly body: Uint8Array };
type Row = { readonly id: number; readonly maxHour: number };

function statements(db: Db) {
  return {
    insert: db.prepare<[Uint8Array]>('INSERT INTO journal (body) VALUES (?)'),
    remove: db.prepare<[number]>('DELETE FROM journal WHERE id = ?'),
    rewrite: db.prepare<[Uint8Array, number]>('UPDATE journal SET body = ? WHERE id = ?'),
    all: db.prepare<[], BodyRow>('SELECT id, body FROM journal ORDER BY id'),
    next: db.prepare<[number, number], BodyRow>(
      'SELECT id, body FROM journal WHERE id > ? ORDER BY id LIMIT ?',
    ),
  };
}

type Statements = ReturnType<typeof statements>;

/** The groups of readings that were committed and are not all sealed yet, one row a commit. */
export function groupRows(db: Db) {
  const prepared = statements(db);
  const { insert, remove, all, next } = prepared;
  let rows: Row[] = [];
  /** how far the rows were looked through for some probes */
  let through = { key: '', id: 0 };

  return {
    /** Hands over each reading, in the order of arrival. */
    load(take: (reading: Reading) => void) {
      rows = [];
      for (const { id, body } of all.all()) {
        const group = decodeGroup(body);
        for (const reading of group) take(reading);
        rows.push({ id, maxHour: maxHourOf(group) });
      }
    },
    add(readings: readonly Reading[]) {
      const id = Number(insert.run(encodeGroup(readings)).lastInsertRowid);
      rows.push({ id, maxHour: maxHourOf(readings) });
    },
    /**
     * Clears up to `limit` rows whose readings all lie before an hour; they must be sealed.
     * @returns how many were cleared
     */
    clearBefore(hour: number, limit: number): number {
      const done = rows.filter(({ maxHour }) => maxHour < hour).slice(0, limit);
      if (done.length === 0) return 0;
      db.transaction(() => {
        for (const { id } of done) remove.run(id);
      }).immediate();
      const gone = new Set(done.map(({ id }) => id));
      rows = rows.filter(({ id }) => !gone.has(id));
      return done.length;
    },
    /**
     * Takes the readings of probes that get no more out of up to `limit` rows, the next ones at each call, in a
     * transaction of its own.
     * @returns true while more rows are to be looked through
     */
    removeSome(probeIds: readonly number[], limit: number): boolean {
      const key = probeIds.join();
      const from = through.key === key ? through.id : 0;
      const some = next.all(from, limit);
      const gone = new Set(probeIds);
      const isGone: IsMeant = ({ probeId }) => gone.has(probeId);
      if (gone.size > 0 && some.length > 0)
        db.transaction(() => takenOut(some, isGone, prepared)).immediate();
      through = { key, id: some.at(-1)?.id ?? from };
      return probeIds.length > 0 && some.length === limit;
    },
    /** Number of the newest row, 0 without one. */
    newest: () => rows.at(-1)?.id ?? 0,
    /**
     * Takes readings out of all rows, inside the caller's transaction.
     * @returns those taken out
     */
    takeOut: (isMeant: IsMeant) => takenOut(all.all(), isMeant, prepared),
  };
}

type IsMeant = (reading: Reading, group: number) => boolean;

/** Takes readings out of some rows. @returns those taken out */
function takenOut(some: readonly BodyRow[], isMeant: IsMeant, { rewrite, remove }: Statements): Reading[] {
  const out: Reading[] = [];
  for (const { id, body } of some) {
    const group = decodeGroup(body);
    const kept = group.filter((reading) => !isMeant(reading, id));
    if (kept.length === group.length) continue;
    out.push(...group.filter((reading) => isMeant(reading, id)));
    if (kept.length > 0) rewrite.run(encodeGroup(kept), id);
    else remove.run(id);
  }
  return out;
}

function maxHourOf(readings: readonly Reading[]): number {
  return readings.reduce((max, { tMs }) => Math.max(max, hourOf(tMs)), Number.NEGATIVE_INFINITY);
}
