import type { Store } from '../../ports.ts';
import { sqliteAlarms, sqliteOutbox } from './alarms.ts';
import { openDatabase } from './database.ts';
import { sqliteDiary } from './diary.ts';
import { sqliteJournal } from './journal.ts';
import { sqlitePlaces, sqliteProbes } from './places.ts';
import { sqliteRefusals } from './refusals.ts';

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
    transaction: (work) => db.transaction(work).immediate(),
    close: () => void db.close(),
  };
}
