import { Fault } from '../../../shared/faults.ts';
import type { ArchiveItemView } from '../../../shared/wire/lifecycle.ts';
import { removedAtMs } from '../../domain/lifecycle/removal.ts';
import { type ArchiveTarget, archiveScope } from '../../domain/lifecycle/scope.ts';
import type { ArchiveItem, ArchiveService } from '../../ports.ts';
import { requirePlace } from '../readout/queries.ts';
import { commit } from '../services/orders.ts';
import type { ArchiveContext } from './archive-context.ts';
import { type Archiving, archiveNow } from './archiving.ts';
import { contentsOf } from './contents.ts';
import { restoreItem } from './restoring.ts';

/** Archives, deletes and restores places, probes and devices. */
export function createArchiveService(context: ArchiveContext): ArchiveService {
  const { store, world, clock } = context;
  const view = (item: ArchiveItem) => viewOf(item, context);
  const put = (target: ArchiveTarget, order: Pick<Archiving, 'state' | 'by'>) => {
    requireTarget(target, context);
    const scope = archiveScope(target, [...world.probes.values()]);
    return view(archiveNow({ target, scope, ...order }, context));
  };
  return {
    answer: () => ({ items: store.archive.items().map(view) }),
    contents(target) {
      requireTarget(target, context);
      return contentsOf(archiveScope(target, [...world.probes.values()]), context);
    },
    archive: (target, { by = null } = {}) => put(target, { state: 'archived', by }),
    delete: (target, { by = null } = {}) => put(target, { state: 'deleted', by }),
    deleteItem(id, { now, by = null }) {
      const item = requireItem(id, context);
      if (item.state === 'deleted' && !now) return view(item);
      const nowMs = clock.nowMs();
      const state = now ? 'removing' : 'deleted';
      const kept = { ...item, state, sinceMs: nowMs, by, countedDays: 0, countedMs: nowMs } as const;
      commit(context, () => store.archive.update(kept));
      return view(kept);
    },
    restore: (id) => restoreItem(requireItem(id, context), context),
  };
}

function viewOf(item: ArchiveItem, { leftOut }: ArchiveContext): ArchiveItemView {
  const { id, kind, name, state, sinceMs, by, body } = item;
  const until = state === 'deleted' ? new Date(removedAtMs(item)).toISOString() : null;
  const since = new Date(sinceMs).toISOString();
  return { id, kind, name, state, since, by, until, leftOut: leftOut(id), ...body.contents };
}

function requireTarget(target: ArchiveTarget, { world, store }: ArchiveContext): void {
  if (target.kind === 'place') requirePlace(world, target.placeId);
  else if (target.kind === 'probe') {
    if (!world.probes.has(target.probeId)) throw notFound(`There is no probe ${target.probeId}`, 'probes');
  } else if (world.probesOfDevice(target.device) === 0 && store.access.device(target.device) === null)
    throw notFound(`Nothing is known of a device "${target.device.slice(0, 64)}"`, 'devices');
}

/** @throws Fault `not-found`, `bad-request` for one that is being removed */
function requireItem(id: number, { store }: ArchiveContext): ArchiveItem {
  const item = store.archive.item(id);
  if (item === null) throw notFound(`There is nothing ${id} in the archive`, 'archive');
  if (item.state !== 'removing') return item;
  const message = `"${item.name}" is being removed for good, and cannot be restored.`;
  throw new Fault({ code: 'bad-request', message, details: { state: item.state } });
}

function notFound(what: string, listed: string): Fault {
  return new Fault({ code: 'not-found', message: `${what}; GET /api/v1/${listed} lists them.` });
}
