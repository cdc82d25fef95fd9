import type { Store } from '../../ports.ts';
import { sqliteAlarms, sqliteOutbox } from './alarms.ts';
import { type Db, openDatabase } from './database.ts';
import { sqliteDiary } from './diary.ts';
import { type RecordJournal, sqliteJournal } from './journal.ts';
import { sqlitePlaces, sqliteProbes } from './places.ts';
import { sqliteRefusals } from './refusals.ts';
import { refusing } from './refusing.ts';

/**
 * Opens the record at `file`, making or migrating it as needed.
 * @throws Fault `store-failed`
 */
export function openStore({ file, nowMs }: { file: string; nowMs: number }): Store {
  const db = openDatabase({ file, nowMs });
  const journal = sqliteJournal(db);
  return {
    journal,
    probes: sqliteProbes(db),
    places: sqlitePlaces(db, journal),
    refusals: sqliteRefusals(db),
    alarms: sqliteAlarms(db),
    outbox: sqliteOutbox(db),
    diary: sqliteDiary(db),
    transaction: (work) => refusing(() => committed(db, journal, work)),
    // nothing reads it, and setting it writes a page even when it stays as it was
    touch: () => void refusing(() => db.pragma('user_version = 0')),
    close: () => void db.close(),
  };
}

function committed<T>(db: Db, journal: RecordJournal, work: () => T): T {
  try {
    return db
      .transaction(() => {
        const result = work();
        journal.flush();
        return result;
      })
      .immediate();
  } catch (cause) {
    journal.rollBack();
    throw cause;
  }
}
