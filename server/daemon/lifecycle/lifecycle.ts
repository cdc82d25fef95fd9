import type { HouseFacts } from '../../../shared/wire/http.ts';
import type {
  ArchiveItem,
  ArchiveService,
  Clock,
  Log,
  RawMessage,
  Store,
  Timers,
  WaitingService,
} from '../../ports.ts';
import type { Touched } from '../intake/touched.ts';
import { ArchivedIndex } from '../world/archived-names.ts';
import type { World } from '../world/world.ts';
import type { ArchiveContext } from './archive-context.ts';
import { createArchiveService } from './archive-service.ts';
import { startRemoval } from './removal.ts';
import { putBackDevice } from './restoring.ts';
import { createWaitingService } from './waiting-service.ts';

type LifecycleDeps = {
  readonly world: World;
  readonly store: Store;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  readonly placeChanged: (placeId: string) => void;
  readonly alarmChanged: (alarmId: string) => void;
  readonly houseChanged: () => void;
  /** called when a device may no longer log in, or may again */
  readonly loginChanged: () => void;
  /** stores packs of a device that is accepted, inside the caller's transaction */
  readonly takeIn: (packs: readonly RawMessage[], device: string) => Touched;
  readonly announce: (touched: Touched) => void;
};

export type Lifecycle = {
  readonly waiting: WaitingService;
  readonly archive: ArchiveService;
  /** Counts readings that were left out, since the start. */
  noteLeftOut(leftOut: ReadonlyMap<number, number>): void;
  /** Devices that wait, and what is archived, for those who are sent the state of the installation. */
  facts(): Required<Pick<HouseFacts, 'waiting' | 'archive'>>;
  start(): () => void;
};

/** How devices, places and probes come and go: who waits, what is archived, and what is removed for good. */
export function createLifecycle(deps: LifecycleDeps): Lifecycle {
  const { world, store } = deps;
  const leftOut = new Map<number, number>();
  const archiving: ArchiveContext = { ...deps, leftOut: (itemId) => leftOut.get(itemId) ?? 0 };
  const archive = createArchiveService(archiving);
  const afterwards = <T>(result: T): T => {
    deps.houseChanged();
    return result;
  };
  let soon: () => void = () => undefined;
  const gone = (item: ArchiveItem) => {
    leftOut.delete(item.id);
    world.archived = new ArchivedIndex(store.archive.names());
    for (const { id } of item.body.contents.places) deps.placeChanged(id);
    deps.houseChanged();
    deps.log.info('what was deleted is removed for good', { kind: item.kind, name: item.name });
  };
  return {
    waiting: createWaitingService({
      ...deps,
      putBack: (device) => putBackDevice(device, archiving),
      changed: deps.houseChanged,
    }),
    archive: {
      ...archive,
      archive: (target, who) => afterwards(archive.archive(target, who)),
      delete: (target, who) => afterwards(archive.delete(target, who)),
      restore: (id) => afterwards(archive.restore(id)),
      deleteItem(id, order) {
        const view = archive.deleteItem(id, order);
        if (order.now) soon();
        return view;
      },
    },
    noteLeftOut(more) {
      for (const [itemId, n] of more) leftOut.set(itemId, (leftOut.get(itemId) ?? 0) + n);
    },
    facts() {
      const devices = store.waiting.devices();
      const ignored = devices.filter(({ state }) => state === 'ignored').length;
      const waiting = { devices: devices.length - ignored, ignored };
      return { waiting, archive: { items: store.archive.count() } };
    },
    start() {
      const removal = startRemoval({ ...deps, gone });
      soon = removal.soon;
      return removal.stop;
    },
  };
}
