import type { Sheet, SheetContent } from '../../../../../shared/model/cuttings/sheet.ts';
import type { OwnSheet, OwnSheets } from '../../../../ports.ts';
import type { Db } from '../../database.ts';

type SheetRow = {
  readonly id: string;
  readonly version: number;
  readonly body: string;
  readonly made_ms: number;
  readonly removed_ms: number | null;
};

/** Target sheets made here, in SQLite. */
export function sqliteSheets(db: Db): OwnSheets {
  const all = db.prepare<[], SheetRow>('SELECT * FROM own_sheet ORDER BY id, version');
  const add = db.prepare('INSERT INTO own_sheet (id, version, body, made_ms) VALUES (?, ?, ?, ?)');
  const setRemoved = db.prepare('UPDATE own_sheet SET removed_ms = ? WHERE id = ?');
  return {
    all: () => all.all().map(ownSheetOf),
    add: ({ sheet: { id, version, own: _own, ...content }, madeMs }) =>
      void add.run(id, version, JSON.stringify(content), madeMs),
    setRemoved: (id, removedMs) => setRemoved.run(removedMs, id).changes > 0,
  };
}

// written by add() alone, so its shape is ours
function ownSheetOf({ id, version, body, made_ms, removed_ms }: SheetRow): OwnSheet {
  const sheet: Sheet = { id, version, own: true, ...(JSON.parse(body) as SheetContent) };
  return { sheet, madeMs: made_ms, removedMs: removed_ms };
}
