import type { Reading } from '../../../shared/model/probe.ts';
import { decodeGroup, encodeGroup } from '../../domain/seal/group.ts';
import type { Db } from './database.ts';
import { hourOf } from './open-hours.ts';

type Row = { readonly id: number; readonly maxHour: number };

/** The groups of readings that were committed and are not all sealed yet, one row a commit. */
export function groupRows(db: Db) {
  const insert = db.prepare<[Uint8Array]>('INSERT INTO journal (body) VALUES (?)');
  const remove = db.prepare<[number]>('DELETE FROM journal WHERE id = ?');
  const rewrite = db.prepare<[Uint8Array, number]>('UPDATE journal SET body = ? WHERE id = ?');
  const all = db.prepare<[], { id: number; body: Uint8Array }>('SELECT id, body FROM journal ORDER BY id');
  let rows: Row[] = [];

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
    /** Number of the newest row, 0 without one. */
    newest: () => rows.at(-1)?.id ?? 0,
    /**
     * Takes readings out of all rows, inside the caller's transaction.
     * @returns those taken out
     */
    takeOut(isMeant: (reading: Reading, group: number) => boolean): Reading[] {
      const out: Reading[] = [];
      for (const { id, body } of all.all()) {
        const group = decodeGroup(body);
        const kept = group.filter((reading) => !isMeant(reading, id));
        if (kept.length === group.length) continue;
        out.push(...group.filter((reading) => isMeant(reading, id)));
        if (kept.length > 0) rewrite.run(encodeGroup(kept), id);
        else remove.run(id);
      }
      return out;
    },
  };
}

function maxHourOf(readings: readonly Reading[]): number {
  return readings.reduce((max, { tMs }) => Math.max(max, hourOf(tMs)), Number.NEGATIVE_INFINITY);
}
