import type { Correction } from '../../../shared/model/correction.ts';
import { type CorrectionRule, correctedValue, correctionsInForce } from '../../domain/probes/corrections.ts';
import type { Corrections, NewCorrection } from '../../ports.ts';
import type { Db } from './database.ts';

const COLUMNS = `id, probe_id AS probeId, from_ms AS fromMs, gain, offset, reason, by_name AS "by",
  entered_ms AS enteredMs, check_id AS checkId, withdrawn_ms AS withdrawnMs, withdrawn_by AS withdrawnBy`;

export type CorrectionRows = Corrections & {
  /** how what a probe tells is corrected; null where it is not */
  ruleOf(probeId: number): CorrectionRule | null;
  /** Forgets what is held in memory, as when a transaction was rolled back or probes were removed. */
  forget(): void;
};

/** Corrections in SQLite; those in force are held in memory, as every reading that is read asks for them. */
export function sqliteCorrections(db: Db): CorrectionRows {
  const all = db.prepare<[], Correction>(`SELECT ${COLUMNS} FROM correction ORDER BY id`);
  const ofProbe = db.prepare<[number], Correction>(
    `SELECT ${COLUMNS} FROM correction WHERE probe_id = ? ORDER BY id`,
  );
  const one = db.prepare<[number], Correction>(`SELECT ${COLUMNS} FROM correction WHERE id = ?`);
  const add = db.prepare(
    `INSERT INTO correction (probe_id, from_ms, gain, offset, reason, by_name, entered_ms, check_id)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  const withdraw = db.prepare('UPDATE correction SET withdrawn_ms = ?, withdrawn_by = ? WHERE id = ?');
  const quantities = db.prepare<[number], string | null>('SELECT quantity FROM probe WHERE id = ?').pluck();
  let rules: Map<number, CorrectionRule> | null = null;

  const load = (): Map<number, CorrectionRule> => {
    const byProbe = Map.groupBy(all.all(), ({ probeId }) => probeId);
    const loaded = new Map<number, CorrectionRule>();
    for (const [probeId, entries] of byProbe) {
      const pieces = correctionsInForce(entries);
      if (pieces.length > 0) loaded.set(probeId, { pieces, quantity: quantities.get(probeId) ?? null });
    }
    return loaded;
  };
  const ruleOf = (probeId: number): CorrectionRule | null => {
    rules ??= load();
    return rules.get(probeId) ?? null;
  };
  const forget = () => {
    rules = null;
  };
  return {
    of: (probeId) => (probeId === null ? all.all() : ofProbe.all(probeId)),
    one: (id) => one.get(id) ?? null,
    add(correction: NewCorrection): Correction {
      const { probeId, fromMs, gain, offset, reason, by, enteredMs, checkId } = correction;
      const { lastInsertRowid } = add.run(probeId, fromMs, gain, offset, reason, by, enteredMs, checkId);
      forget();
      return { ...correction, id: Number(lastInsertRowid), withdrawnMs: null, withdrawnBy: null };
    },
    setWithdrawn(id, withdrawn) {
      withdraw.run(withdrawn?.atMs ?? null, withdrawn?.by ?? null, id);
      forget();
    },
    valueOf(reading) {
      const rule = ruleOf(reading.probeId);
      return rule === null ? reading.value : correctedValue(reading, rule);
    },
    ruleOf,
    forget,
  };
}
