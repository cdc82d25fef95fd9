import type { Mapping, NewMapping } from '../../../../shared/model/probes/mapping.ts';
import type { Mappings } from '../../../ports.ts';
import type { Db } from '../database.ts';

/** How foreign messages are read, in SQLite. */
export function sqliteMappings(db: Db): Mappings {
  const all = db.prepare<[], { id: number; body: string }>('SELECT id, body FROM mapping ORDER BY id');
  const add = db.prepare('INSERT INTO mapping (body) VALUES (?)');
  const update = db.prepare('UPDATE mapping SET body = ? WHERE id = ?');
  const remove = db.prepare('DELETE FROM mapping WHERE id = ?');
  return {
    // written by add() and update() alone, so its shape is ours
    all: () => all.all().map(({ id, body }): Mapping => ({ ...(JSON.parse(body) as NewMapping), id })),
    add: (mapping) => ({ ...mapping, id: Number(add.run(JSON.stringify(mapping)).lastInsertRowid) }),
    update: ({ id, ...mapping }) => update.run(JSON.stringify(mapping), id).changes === 1,
    remove: (id) => remove.run(id).changes === 1,
  };
}
