import type { Store } from '../../ports.ts';
import { sqliteAccess } from './access.ts';
import { sqliteAlarms } from './alarms.ts';
import { sqliteChecks } from './checks.ts';
import { correctedJournal } from './corrected.ts';
import { type CorrectionRows, sqliteCorrections } from './corrections.ts';
import { type Db, openDatabase } from './database.ts';
import { sqliteDiary } from './diary.ts';
import { sqliteHandshakes } from './handshakes.ts';
import { type HorizonRow, horizonRow } from './horizon.ts';
import { type RecordJournal, sqliteJournal } from './journal.ts';
import { sqliteMappings } from './mappings.ts';
import { sqliteOutbox } from './outbox.ts';
import { sqlitePathTests } from './path-tests.ts';
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
  const horizon = horizonRow(db);
  const journal = sqliteJournal(db, horizon);
  const settled = sqliteSettled(db, horizon);
  const checks = sqliteChecks(db, () => corrections.forget());
  const corrections: CorrectionRows = sqliteCorrections(db, checks);
  const { removeWithRecord, ...places } = sqlitePlaces(db, { journal, settled });
  return {
    journal: correctedJournal(journal, corrections.ruleOf),
    probes: sqliteProbes(db, settled),
    places: {
      ...places,
      removeWithRecord(placeId) {
        removeWithRecord(placeId);
        corrections.forget();
      },
    },
    corrections,
    checks,
    refusals: sqliteRefusals(db),
    alarms: sqliteAlarms(db),
    outbox: sqliteOutbox(db),
    people: sqlitePeople(db),
    pathTests: sqlitePathTests(db),
    diary: sqliteDiary(db),
    access: sqliteAccess(db),
    mappings: sqliteMappings(db),
    settled,
    horizon: { get: horizon.get, set: horizon.set },
    handshakes: sqliteHandshakes(db),
    transaction: (work) => refusing(() => committed(db, { journal, settled, horizon, corrections }, work)),
    // nothing reads it, and setting it writes a page even when it stays as it was
    touch: () => void refusing(() => db.pragma('user_version = 0')),
    close: () => void db.close(),
  };
}

type Record = {
  readonly journal: RecordJournal;
  readonly settled: SettledHours;
  readonly horizon: HorizonRow;
  readonly corrections: Pick<CorrectionRows, 'forget'>;
};

function committed<T>(db: Db, { journal, settled, horizon, corrections }: Record, work: () => T): T {
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
    horizon.reload();
    corrections.forget();
    journal.rollBack();
    settled.reload();
    throw cause;
  }
}
