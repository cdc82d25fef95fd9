import type { Clock, Store } from '../../ports.ts';
import type { World } from '../world/world.ts';

/** What archiving and restoring need, and whom they notify. */
export type ArchiveContext = {
  readonly world: World;
  readonly store: Store;
  readonly clock: Clock;
  readonly placeChanged: (placeId: string) => void;
  readonly alarmChanged: (alarmId: string) => void;
  /** called when a device may no longer log in, or may again */
  readonly loginChanged: () => void;
  /** readings that came for an item and were left out */
  readonly leftOut: (itemId: number) => number;
};
