import { Fault } from '../../../shared/faults.ts';
import { MAX_OWN_SHEET_VERSIONS, type Sheet } from '../../../shared/model/cuttings/sheet.ts';
import { type SheetRegistry, sheetRegistry } from '../../domain/sheets/registry.ts';
import { shippedSheets } from '../../domain/sheets/shipped.ts';
import type { OwnSheet, SheetService } from '../../ports.ts';
import { commit, type OrderContext } from './orders.ts';

type SheetDeps = Pick<OrderContext, 'world' | 'store' | 'clock'> & {
  /** how many batches use a sheet, in any of its versions */
  readonly batchesOn?: (sheetId: string) => number;
};

/** Target sheets, shipped and own; the own ones are read from the record once, and again after each change. */
export function createSheetService(deps: SheetDeps): SheetService {
  const { store, clock, batchesOn } = deps;
  let { kept, registry } = readAgain(deps);
  const changed = (work: () => void): void => {
    commit(deps, work);
    ({ kept, registry } = readAgain(deps));
  };
  const newest = (id: string): OwnSheet | undefined => kept.findLast(({ sheet }) => sheet.id === id);
  const requireOwn = (id: string): OwnSheet => {
    const own = newest(id);
    if (own?.removedMs === null) return own;
    if (own === undefined && registry.sheetOf(id) !== null) throw shipped(id);
    throw notFound(id);
  };
  const keep = (sheet: Sheet): Sheet => {
    requireRoom(kept.length);
    changed(() => store.sheets.add({ sheet, madeMs: clock.nowMs() }));
    return sheet;
  };
  return {
    list: () => registry.list(),
    readAgain() {
      ({ kept, registry } = readAgain(deps));
    },
    sheetOf: (id, version) => registry.sheetOf(id, version),
    sheet(id, version) {
      const sheet = registry.sheetOf(id, version);
      if (sheet && (version !== undefined || (newest(id)?.removedMs ?? null) === null)) return sheet;
      throw notFound(version === undefined ? id : `${id} in version ${version}`);
    },
    add: (content) => keep({ id: nextId(kept), version: 1, own: true, ...content }),
    change(id, content) {
      const { sheet } = requireOwn(id);
      return keep({ id, version: sheet.version + 1, own: true, ...content });
    },
    remove(id) {
      requireOwn(id);
      requireUnused(id, batchesOn?.(id) ?? 0);
      changed(() => void store.sheets.setRemoved(id, clock.nowMs()));
    },
    restore(id) {
      const own = newest(id);
      if (!own) throw notFound(id);
      if (own.removedMs !== null) changed(() => void store.sheets.setRemoved(id, null));
      return own.sheet;
    },
  };
}

function readAgain({ store }: Pick<SheetDeps, 'store'>): {
  kept: readonly OwnSheet[];
  registry: SheetRegistry;
} {
  const kept = store.sheets.all();
  const removed = new Set(kept.filter(({ removedMs }) => removedMs !== null).map(({ sheet }) => sheet.id));
  const own = kept.map(({ sheet }) => sheet);
  return { kept, registry: sheetRegistry(own, (id) => removed.has(id)) };
}

/** `own-1`, `own-2` …; a number that was used, or shipped, never comes again. */
function nextId(kept: readonly OwnSheet[]): string {
  const taken = new Set([...kept.map(({ sheet }) => sheet.id), ...shippedSheets().map(({ id }) => id)]);
  for (let number = 1; ; number += 1) if (!taken.has(`own-${number}`)) return `own-${number}`;
}

function requireRoom(count: number): void {
  if (count < MAX_OWN_SHEET_VERSIONS) return;
  const message = `There are ${MAX_OWN_SHEET_VERSIONS} versions of own sheets, the most that are kept.`;
  throw new Fault({ code: 'bad-request', message });
}

function requireUnused(id: string, batches: number): void {
  if (batches === 0) return;
  const whose = batches === 1 ? 'A batch uses' : `${batches} batches use`;
  throw new Fault({
    code: 'bad-request',
    message: `${whose} the sheet ${id}: give it another sheet first.`,
    details: { batches },
  });
}

function shipped(id: string): Fault {
  const message = `The sheet ${id} is shipped and stays as it is: POST /api/v1/sheets makes a copy that can be changed.`;
  return new Fault({ code: 'bad-request', message });
}

function notFound(id: string): Fault {
  return new Fault({ code: 'not-found', message: `There is no sheet ${id}; GET /api/v1/sheets lists them.` });
}
