import type { Stake } from '../../../shared/harm/priority.ts';
import type { Night, PlaceCondition } from '../../../shared/wire/http.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import type { Seal, Store } from '../../ports.ts';
import type { World } from '../world/world.ts';

/** How messages are made and addressed. */
export type NotifySettings = {
  readonly webhookSet: boolean;
  readonly timeZone: string;
  /** where others reach this page, or null: then messages carry no whole link; and how links are signed */
  readonly links: { readonly publicUrl: string | null; readonly seal: Seal };
  /** why harm makes an alarm one of high priority now; null where it does not */
  readonly stakeNow: (record: AlarmRecord) => Stake | null;
  /** judges why an alarm is active, for what is said of it; true where that is new */
  readonly judgeCause: (record: AlarmRecord) => boolean;
  /** what harmed a place, or could not be seen, and no morning sheet has shown yet; worst first */
  readonly remembered: (placeId: string) => PlaceCondition['lately'];
  /** the night just gone, as the page shows it; null where it could not be made */
  readonly night: () => Night | null;
};

export type NotifyContext = {
  readonly world: World;
  readonly store: Store;
  readonly settings: NotifySettings;
  readonly nowMs: number;
};
