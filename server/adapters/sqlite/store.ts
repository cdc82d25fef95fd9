import type { Store } from '../../ports.ts';
import { sqliteAlarms } from './alarms.ts';
import { type Db, openDatabase } from './database.ts';
import { sqliteDiary } from './diary.ts';
import { type RecordJournal, sqliteJournal } from './journal.ts';
import { sqliteOutbox } from './outbox.ts';
import { sqlitePeople } from './people.ts';
import { sqlitePlaces, sqliteProbes } from './places.ts';
import { sqliteRefusals } from './refusals.ts';
import { refusing } from './refusing.ts';
import { type SettledHours, sqliteSettled } from './settled.ts';

/**
 * Opens the record at `file`, making or migrating it as needed.
 * @throws Fault `store-failed`
 */
export function openStore({ file, nowMs }: { file: string; nowMs: number }): Store {
  const db = openDatabase({ file, nowMs });
  const journal = sqliteJournal(db);
  const settled = sqliteSettled(db);
  return {
    journal,
    probes: sqliteProbes(db, settled),
    places: sqlitePlaces(db, { journal, settled }),
    refusals: sqliteRefusals(db),
    alarms: sqliteAlarms(db),
    outbox: sqliteOutbox(db),
    people: sqlitePeople(db),
    diary: sqliteDiary(db),
    settled,
    transaction: (work) => refusing(() => committed(db, { journal, settled }, work)),
    // nothing reads it, and setting it writes a page even when it stays as it was
    touch: () => void refusing(() => db.pragma('user_version = 0')),
    close: () => void db.close(),
  };
}

type Record = { readonly journal: RecordJournal; readonly settled: SettledHours };

function committed<T>(db: Db, { journal, settled }: Record, work: () => T): T {
  try {
    return db
      .transaction(() => {
        const result = work();
        settled.readingsCame(journal.pending());
        journal.flush();
        return result;
      })
      .immediate();
  } catch (cause) {
    journal.rollBack();
    settled.reload();
    throw cause;
  }
}
