import type { Fault } from '../../../shared/faults.ts';
import type { HouseFacts } from '../../../shared/wire/http.ts';
import { defaultedSettings } from '../../adapters/sqlite/file/defaulted.ts';
import { recordMadeMs } from '../../adapters/sqlite/file/inspect.ts';
import { checkBeside } from '../../adapters/sqlite/file/jobs.ts';
import { systemClock as clock } from '../../adapters/system/clock.ts';
import type { Settings } from '../../config.ts';
import type { Emergency } from '../../daemon/emergency/emergency.ts';
import type { Backups } from '../../daemon/upkeep/backups.ts';
import { createRoom } from '../../daemon/upkeep/disk-space.ts';
import type { Log, RecordStore, Reserve, Timers } from '../../ports.ts';
import { backupsOf, roomOf } from '../backup.ts';
import { recordFileIn, setDamagedAside } from '../record-file.ts';
import { openKeptRecord } from './kept-record.ts';

/** The record with all that keeps it: its backups, the room it has, and the check of a large one. */
export type RecordLifeCycle = {
  readonly record: RecordStore;
  /** what goes on in memory while the record cannot be written; with the store that everybody uses */
  readonly emergency: Emergency;
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

type RecordLifeCycleDeps = {
  readonly log: Log;
  readonly timers: Timers;
  readonly reserve: Reserve;
  /** whether old backups may be dropped, as the clock is right */
  readonly mayDrop: () => boolean;
};

/**
 * Opens the record of the data folder.
 * @throws Fault `store-damaged`, `store-failed`
 */
export function openRecordLifeCycle(
  settings: Settings,
  { log, timers, reserve, mayDrop }: RecordLifeCycleDeps,
): RecordLifeCycle {
  const { dataDir, timeZone: zone } = settings;
  const file = recordFileIn(dataDir);
  const { record, emergency, checked } = openKeptRecord({ dataDir, reserve, clock, timers, log });
  warnOfDefaults(file, log);
  const madeMs = madeMsOf(file) ?? clock.nowMs();
  const backups = backupsOf(settings, { log, timers, madeMs, mayDrop });
  const daily = settings.backupAt !== null;
  const room = createRoom({ room: roomOf(dataDir), finished: backups.finished, clock, zone, daily, madeMs });
  const damaged = Promise.withResolvers<string>();
  let stopCheck: () => Promise<void> = () => Promise.resolve();
  return {
    record,
    emergency,
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

/** When the record was made; null also where it cannot be read where it lies. */
function madeMsOf(file: string): number | null {
  try {
    return recordMadeMs(file);
  } catch {
    return null;
  }
}

/** Names the settings that are out of range; a record that cannot be read says so elsewhere. */
function warnOfDefaults(file: string, log: Log): void {
  try {
    const defaulted = defaultedSettings(file);
    if (defaulted.length === 0) return;
    log.warn('settings are out of range: their defaults are used', { defaulted: defaulted.join(', ') });
  } catch (cause) {
    log.warn('the settings of the record were not checked', { error: String(cause) });
  }
}
