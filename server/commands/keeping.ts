import type { Fault } from '../../shared/faults.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
import { recordMadeMs } from '../adapters/sqlite/inspect.ts';
import { checkBeside } from '../adapters/sqlite/jobs.ts';
import { systemClock as clock } from '../adapters/system/clock.ts';
import type { Settings } from '../config.ts';
import type { Backups } from '../daemon/backups.ts';
import { createRoom } from '../daemon/room.ts';
import type { Log, Store } from '../ports.ts';
import { backupsOf, roomOf } from './backup.ts';
import { openRecord, recordFileIn, setDamagedAside } from './record-file.ts';

/** The record with all that keeps it: its backups, the room it has, and the check of a large one. */
export type Keeping = {
  readonly store: Store;
  readonly backups: Backups;
  facts(): Pick<HouseFacts, 'backup' | 'room'>;
  /** Begins the daily backups, and the check of what was not checked before the start. */
  begin(): void;
  /**
   * Settles when the check finds damage: then the daemon was ended, and the record set aside.
   * @param end ends the daemon in good order
   */
  broken(end: () => Promise<void>): Promise<Fault>;
  /** Ends backup and check; the store stays open. */
  stop(): Promise<void>;
};

/**
 * Opens the record of the data folder.
 * @param mayDrop whether old backups may be dropped, as the clock is right
 * @throws Fault `store-damaged`, `store-failed`
 */
export function openKeeping(settings: Settings, log: Log, mayDrop: () => boolean): Keeping {
  const { dataDir, timeZone: zone } = settings;
  const file = recordFileIn(dataDir);
  const { store, checked } = openRecord({ dataDir, nowMs: clock.nowMs() });
  const madeMs = recordMadeMs(file) ?? clock.nowMs();
  const backups = backupsOf(settings, { log, madeMs, mayDrop });
  const daily = settings.backupAt !== null;
  const room = createRoom({ room: roomOf(dataDir), finished: backups.finished, clock, zone, daily, madeMs });
  const damaged = Promise.withResolvers<string>();
  let stopCheck: () => Promise<void> = () => Promise.resolve();
  return {
    store,
    backups,
    facts: () => ({ backup: backups.facts(), room: room() }),
    begin() {
      backups.begin();
      if (checked) return;
      const check = checkBeside(file);
      stopCheck = check.stop;
      check.done.then(
        (damage) => {
          if (damage !== null) damaged.resolve(damage);
          else log.info('the record was checked and is sound');
        },
        (cause: unknown) => log.warn('the record was not checked to the end', { error: String(cause) }),
      );
    },
    async broken(end) {
      const damage = await damaged.promise;
      await end();
      return setDamagedAside({ dataDir, damage, nowMs: clock.nowMs() });
    },
    async stop() {
      await stopCheck();
      await backups.stop();
    },
  };
}
