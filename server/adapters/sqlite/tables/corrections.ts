import type { Correction } from '../../../../shared/model/probes/correction.ts';
import type { Probe } from '../../../../shared/model/probes/probe.ts';
import { type Away, awayOf, isAwayAt, takenAlong } from '../../../domain/probes/checks/away.ts';
import {
  type CorrectionRule,
  correctedValue,
  correctionsInForce,
} from '../../../domain/probes/corrections.ts';
import type { Checks, Corrections, NewCorrection } from '../../../ports.ts';
import type { Db } from '../database.ts';

const COLUMNS = `id, probe_id AS probeId, from_ms AS fromMs, gain, offset, reason, by_name AS "by",
  entered_ms AS enteredMs, check_id AS checkId, withdrawn_ms AS withdrawnMs, withdrawn_by AS withdrawnBy`;

export type CorrectionRows = Corrections & {
  /** how what a probe reports is corrected; null where it is not */
  ruleOf(probeId: number): CorrectionRule | null;
  /** Forgets what is held in memory, as when a transaction was rolled back or probes were removed. */
  forget(): void;
};

/** Corrections in SQLite; those in force are held in memory, as every reading that is read asks for them. */
export function sqliteCorrections(db: Db, checks: Pick<Checks, 'all'>): CorrectionRows {
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
  const probes = db.prepare<[], Pick<Probe, 'id' | 'device' | 'name' | 'quantity'>>(
    'SELECT id, device, name, quantity FROM probe',
  );
  let rules: Map<number, CorrectionRule> | null = null;

  const load = (): Map<number, CorrectionRule> => {
    const known = probes.all();
    const entries = Map.groupBy(all.all(), ({ probeId }) => probeId);
    const away = new Map<number, Away[]>();
    for (const check of checks.all()) {
      const span = awayOf(check);
      if (span === null) continue;
      for (const id of takenAlong(check, known)) away.set(id, [...(away.get(id) ?? []), span]);
    }
    const loaded = new Map<number, CorrectionRule>();
    for (const { id, quantity } of known) {
      const rule = {
        pieces: correctionsInForce(entries.get(id) ?? []),
        away: away.get(id) ?? [],
        quantity,
      };
      if (rule.pieces.length > 0 || rule.away.length > 0) loaded.set(id, rule);
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
    isAway: (probeId, tMs) => isAwayAt(ruleOf(probeId)?.away ?? [], tMs),
    touches(probeId, untilMs) {
      const { pieces = [], away = [] } = ruleOf(probeId) ?? {};
      return [...pieces, ...away].some(({ fromMs }) => fromMs < untilMs);
    },
    ruleOf,
    forget,
  };
}
