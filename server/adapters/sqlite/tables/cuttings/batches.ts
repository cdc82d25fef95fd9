import {
  type BatchBody,
  batchBodySchema,
  type Count,
  countSchema,
  NO_DETAILS,
} from '../../../../../shared/model/cuttings/batch.ts';
import type { StageId } from '../../../../../shared/model/cuttings/sheet.ts';
import type {
  CountEntry,
  KeptBatch,
  LeadingChoice,
  StageFrom,
  Stay,
} from '../../../../domain/batches/batch.ts';
import type { Batches } from '../../../../ports.ts';
import type { Db } from '../../database.ts';

type Row = {
  readonly id: number;
  readonly placeId: string | null;
  readonly stuckMs: number;
  readonly entered: number;
  readonly closedMs: number | null;
  readonly closedEntered: number | null;
  readonly deletedMs: number | null;
  readonly body: string;
};
type OfBatch<T> = T & { readonly batchId: number };
type CountRow = OfBatch<{ n: number; atMs: number; body: string }>;

/** What batches are chosen by; none for all. */
type Key = { readonly key: string | number }[];

const COLUMNS = `id, place_id AS placeId, stuck_ms AS stuckMs, entered, closed_ms AS closedMs,
  closed_entered AS closedEntered, deleted_ms AS deletedMs, body`;
const AT_PLACE = `SELECT id FROM batch WHERE place_id = @key UNION SELECT batch_id FROM batch_move WHERE place_id = @key`;
/** Where edits are numbered. */
const NUMBERED = ['batch', 'batch_stage', 'batch_move', 'leading', 'targets'];

/** The rows of some batches and of all that was entered of them. */
function reading(db: Db, which: string) {
  const of = which === '' ? '' : `WHERE batch_id IN (${which})`;
  const rows = db.prepare<Key, Row>(
    `SELECT ${COLUMNS} FROM batch ${which === '' ? '' : `WHERE id IN (${which})`} ORDER BY id`,
  );
  const stages = db.prepare<Key, OfBatch<StageFrom>>(
    `SELECT batch_id AS batchId, n, stage, from_ms AS fromMs, entered FROM batch_stage ${of} ORDER BY from_ms`,
  );
  const moves = db.prepare<Key, OfBatch<Stay>>(
    `SELECT batch_id AS batchId, n, place_id AS placeId, from_ms AS fromMs, entered FROM batch_move ${of}
     ORDER BY from_ms`,
  );
  const counts = db.prepare<Key, CountRow>(
    `SELECT batch_id AS batchId, n, at_ms AS atMs, body FROM batch_count ${of} ORDER BY at_ms, n`,
  );
  return (...key: Key): KeptBatch[] => {
    const byBatch = <T extends { batchId: number }>(all: readonly T[]) =>
      Map.groupBy(all, (row) => row.batchId);
    const [ofStages, ofMoves] = [byBatch(stages.all(...key)), byBatch(moves.all(...key))];
    const ofCounts = byBatch(counts.all(...key));
    return rows.all(...key).map((row) =>
      batchOf(row, {
        stages: ofStages.get(row.id) ?? [],
        moves: ofMoves.get(row.id) ?? [],
        counts: ofCounts.get(row.id) ?? [],
      }),
    );
  };
}

type Entries = {
  readonly stages: readonly OfBatch<StageFrom>[];
  readonly moves: readonly OfBatch<Stay>[];
  readonly counts: readonly CountRow[];
};

function batchOf(row: Row, { stages, moves, counts }: Entries): KeptBatch {
  const { id, placeId, stuckMs, entered, closedMs, closedEntered, deletedMs } = row;
  return {
    id,
    // what older versions did not know of is not noted
    body: { ...NO_DETAILS, ...(JSON.parse(row.body) as BatchBody) },
    stuckMs,
    closed: closedMs === null ? null : { atMs: closedMs, entered: closedEntered ?? 0 },
    deletedMs,
    stays: [{ n: 0, placeId, fromMs: stuckMs, entered }, ...moves.map(({ batchId: _, ...move }) => move)],
    stages: stages.map(({ batchId: _, ...stage }) => stage),
    counts: counts.map(({ n, atMs, body }): CountEntry => ({ n, atMs, count: JSON.parse(body) as Count })),
  };
}

function statements(db: Db) {
  const put = (table: string, column: string) =>
    db.prepare(
      `INSERT OR REPLACE INTO ${table} (batch_id, n, ${column}, from_ms, entered) VALUES (?, ?, ?, ?, ?)`,
    );
  const remove = (table: string) => db.prepare(`DELETE FROM ${table} WHERE batch_id = ? AND n = ?`);
  return {
    count: db.prepare<[], number>('SELECT count(*) FROM batch').pluck(),
    add: db.prepare('INSERT INTO batch (place_id, stuck_ms, entered, body) VALUES (?, ?, ?, ?)'),
    update: db.prepare(
      `UPDATE batch SET stuck_ms = ?, closed_ms = ?, closed_entered = ?, deleted_ms = ?, body = ? WHERE id = ?`,
    ),
    shiftFirst: db.prepare(
      `UPDATE batch_stage SET from_ms = @stuckMs WHERE batch_id = @id
         AND n = (SELECT n FROM batch_stage WHERE batch_id = @id ORDER BY from_ms LIMIT 1)`,
    ),
    remove: db.prepare('DELETE FROM batch WHERE id = ?'),
    putStage: put('batch_stage', 'stage'),
    putMove: put('batch_move', 'place_id'),
    putCount: db.prepare('INSERT OR REPLACE INTO batch_count (batch_id, n, at_ms, body) VALUES (?, ?, ?, ?)'),
    removeStage: remove('batch_stage'),
    removeMove: remove('batch_move'),
    removeCount: remove('batch_count'),
    choices: db.prepare<[string], LeadingChoice>(
      'SELECT batch_id AS batchId, from_ms AS fromMs, entered FROM leading WHERE place_id = ? ORDER BY id',
    ),
    choose: db.prepare('INSERT INTO leading (place_id, batch_id, from_ms, entered) VALUES (?, ?, ?, ?)'),
    entered: db
      .prepare<[], number>(
        `SELECT max(most) FROM (${NUMBERED.map((table) => `SELECT max(entered) AS most FROM ${table}`).join(' UNION ALL ')}
           UNION ALL SELECT max(closed_entered) FROM batch)`,
      )
      .pluck(),
  };
}

/** Batches in SQLite. */
export function sqliteBatches(db: Db): Batches {
  const sql = statements(db);
  const [all, atPlace, one] = [reading(db, ''), reading(db, AT_PLACE), reading(db, '@key')];
  return {
    all: () => all(),
    atPlace: (placeId) => atPlace({ key: placeId }),
    get: (id) => one({ key: id })[0] ?? null,
    count: () => sql.count.get() ?? 0,
    add({ placeId, stage, stuckMs, entered, body }) {
      const added = sql.add.run(placeId, stuckMs, entered, JSON.stringify(batchBodySchema.parse(body)));
      const id = Number(added.lastInsertRowid);
      sql.putStage.run(id, 1, stage satisfies StageId, stuckMs, entered);
      return id;
    },
    update({ id, body, stuckMs, closed, deletedMs }) {
      const text = JSON.stringify(batchBodySchema.parse(body));
      sql.shiftFirst.run({ id, stuckMs });
      sql.update.run(stuckMs, closed?.atMs ?? null, closed?.entered ?? null, deletedMs, text, id);
    },
    remove: (id) => void sql.remove.run(id),
    putStage: ({ batchId, n, stage, fromMs, entered }) =>
      void sql.putStage.run(batchId, n, stage, fromMs, entered),
    putMove: ({ batchId, n, placeId, fromMs, entered }) =>
      void sql.putMove.run(batchId, n, placeId, fromMs, entered),
    putCount: ({ batchId, n, atMs, count }) =>
      void sql.putCount.run(batchId, n, atMs, JSON.stringify(countSchema.parse(count))),
    removeStage: ({ batchId, n }) => void sql.removeStage.run(batchId, n),
    removeMove: ({ batchId, n }) => void sql.removeMove.run(batchId, n),
    removeCount: ({ batchId, n }) => void sql.removeCount.run(batchId, n),
    choices: (placeId) => sql.choices.all(placeId),
    choose: (placeId, { batchId, fromMs, entered }) => void sql.choose.run(placeId, batchId, fromMs, entered),
    nextEntered: () => (sql.entered.get() ?? 0) + 1,
  };
}
