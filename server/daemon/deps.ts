import type { TargetSheet } from '../../shared/model/targets.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
import type { UnreadAnswer } from '../../shared/wire/probes/foreign-messages.ts';
import type {
  Columns,
  Keep,
  ListenAt,
  LiveFeed,
  Log,
  LoopDelays,
  Measures,
  PhotoFolder,
  RecordStore,
  SteadyClock,
  Store,
  Timers,
} from '../ports.ts';
import type { ClockWatch } from './clock/clock-watch.ts';
import type { Emergency } from './emergency/emergency.ts';
import type { Ping } from './guard/liveness.ts';
import type { NotifySettings } from './notify/calling.ts';
import type { ContactMethods } from './services/people-service.ts';

export type DaemonDeps = {
  readonly store: RecordStore;
  /** what goes on while the store cannot be written; opened here unless given */
  readonly emergency?: Emergency;
  readonly clock: SteadyClock;
  readonly timers: Timers;
  readonly log: Log;
  readonly feed: LiveFeed;
  readonly ways: ContactMethods;
  readonly links: NotifySettings['links'];
  readonly targetSheet: TargetSheet;
  readonly timeZone: string;
  /** whole days for which readings are kept; for ever unless given */
  readonly keepRawDays?: number | null;
  readonly sourceText: (key: string) => string;
  readonly keep: Keep;
  readonly photos: PhotoFolder;
  readonly columns: Columns;
  readonly measures: Measures;
  /** notifies an outside watcher that all is well; null for none */
  readonly ping?: Ping | null;
  /** called with the topic filters that mappings read, after each change */
  readonly onFilters?: (filters: readonly string[]) => void;
  /** listens at an outside broker; null at the embedded one, which reports them by itself */
  readonly listenAt?: ListenAt | null;
  /** called when a device may no longer log in at the broker, or may again */
  readonly onLogins?: () => void;
  /** whether topics that nothing reads can be seen at the broker */
  readonly unreadSource?: () => UnreadAnswer['source'];
  /** how late timers run; null where nothing measures it */
  readonly loopDelays?: LoopDelays | null;
  /** version of the runtime */
  readonly node?: string;
  /** facts of the installation that the edges know */
  readonly edges: () => Pick<HouseFacts, 'version' | 'broker' | 'demo' | 'backup' | 'room' | 'page'>;
};

/** The same, once the record is open, its clock watched and its timers guarded. */
export type HouseDeps = Omit<DaemonDeps, 'store'> & {
  readonly store: Store;
  readonly emergency: Emergency;
  readonly clockWatch: ClockWatch;
};
