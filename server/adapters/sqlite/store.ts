import type { Store } from '../../ports.ts';
import { sqliteAlarms, sqliteOutbox } from './alarms.ts';
import { openDatabase } from './database.ts';
import { sqliteDiary } from './diary.ts';
import { sqliteJournal } from './journal.ts';
import { sqlitePlaces, sqliteProbes } from './places.ts';
import { sqliteRefusals } from './refusals.ts';
import { refusing } from './refusing.ts';

/**
 * Opens the record at `file`, making or migrating it as needed.
 * @throws Fault `store-failed`
 */
export function openStore({ file, nowMs }: { file: string; nowMs: number }): Store {
  const db = openDatabase({ file, nowMs });
  return {
    journal: sqliteJournal(db),
    probes: sqliteProbes(db),
    places: sqlitePlaces(db),
    refusals: sqliteRefusals(db),
    alarms: sqliteAlarms(db),
    outbox: sqliteOutbox(db),
    diary: sqliteDiary(db),
    transaction: (work) => refusing(() => db.transaction(work).immediate()),
    // nothing reads it, and setting it writes a page even when it stays as it was
    touch: () => void refusing(() => db.pragma('user_version = 0')),
    close: () => void db.close(),
  };
}
