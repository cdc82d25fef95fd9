import {
  type PreparationBody,
  preparationBodySchema,
} from '../../../../../shared/model/cuttings/preparation.ts';
import type { KeptPreparation, Preparations } from '../../../../ports.ts';
import type { Db } from '../../database.ts';

type Row = Omit<KeptPreparation, 'body'> & { readonly body: string };

const COLUMNS = 'id, batch_id AS batchId, deleted_ms AS deletedMs, body';

/** Planned batches in SQLite. */
export function sqlitePreparations(db: Db): Preparations {
  const all = db.prepare<[], Row>(`SELECT ${COLUMNS} FROM preparation ORDER BY id`);
  const one = db.prepare<[number], Row>(`SELECT ${COLUMNS} FROM preparation WHERE id = ?`);
  const count = db.prepare<[], number>('SELECT count(*) FROM preparation').pluck();
  const add = db.prepare('INSERT INTO preparation (body) VALUES (?)');
  const update = db.prepare('UPDATE preparation SET batch_id = ?, deleted_ms = ?, body = ? WHERE id = ?');
  const remove = db.prepare('DELETE FROM preparation WHERE id = ?');
  const written = (body: PreparationBody) => JSON.stringify(preparationBodySchema.parse(body));
  return {
    all: () => all.all().map(preparationOf),
    get(id) {
      const row = one.get(id);
      return row ? preparationOf(row) : null;
    },
    count: () => count.get() ?? 0,
    add: (body) => Number(add.run(written(body)).lastInsertRowid),
    update: ({ id, body, batchId, deletedMs }) => void update.run(batchId, deletedMs, written(body), id),
    remove: (id) => void remove.run(id),
  };
}

// written by add() and update() alone, so its shape is ours
function preparationOf({ body, ...row }: Row): KeptPreparation {
  return { ...row, body: JSON.parse(body) as PreparationBody };
}
