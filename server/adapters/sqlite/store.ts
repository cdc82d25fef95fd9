import type { RecordStore, Store } from '../../ports.ts';
import { type Db, type Migration, openDatabase, readMigrations } from './database.ts';
import { correctedJournal } from './readings/corrected.ts';
import { type HorizonRow, horizonRow } from './readings/horizon.ts';
import { type RecordJournal, sqliteJournal } from './readings/journal.ts';
import { type SettledHours, sqliteSettled } from './readings/settled.ts';
import { refusing, refusingPart } from './refusing.ts';
import { standIns, takeOver } from './stand-in.ts';
import { sqliteAlarms } from './tables/alarms.ts';
import { sqliteArchive } from './tables/archive.ts';
import { sqliteChecks } from './tables/checks.ts';
import { sqliteClock } from './tables/clock.ts';
import { type CorrectionRows, sqliteCorrections } from './tables/corrections.ts';
import { sqliteBatches } from './tables/cuttings/batches.ts';
import { sqlitePreparations } from './tables/cuttings/preparations.ts';
import { sqliteSheets } from './tables/cuttings/sheets.ts';
import { sqliteDiary } from './tables/diary.ts';
import { sqliteHandshakes } from './tables/handshakes.ts';
import { sqliteMappings } from './tables/mappings.ts';
import { sqliteAccess } from './tables/people/access.ts';
import { sqliteKeys, sqliteRestoreGaps } from './tables/people/keys.ts';
import { sqliteOutbox } from './tables/people/outbox.ts';
import { sqlitePathTests } from './tables/people/path-tests.ts';
import { sqlitePeople } from './tables/people/people.ts';
import { sqlitePlaces, sqliteProbes } from './tables/places.ts';
import { sqliteRefusals } from './tables/refusals.ts';
import { sqliteWaiting } from './tables/waiting.ts';

/**
 * Opens the record at `file`, making or migrating it as needed.
 * @throws Fault `store-failed`
 */
export function openStore({ file, nowMs }: { file: string; nowMs: number }): RecordStore {
  const migrations = readMigrations();
  return recordOn(openDatabase({ file, nowMs, migrations }), migrations);
}

/** The record in a database, with what can stand in for it. */
export function recordOn(db: Db, migrations: readonly Migration[]): RecordStore {
  const { store, forget } = storeOn(db);
  return {
    ...store,
    ...standIns(db, migrations, (memory) => storeOn(memory).store),
    takeOver(changes) {
      takeOver(db, changes);
      forget();
    },
  };
}

/** The store on a database, and what forgets what it holds in memory of rows that were written beside it. */
function storeOn(db: Db): { readonly store: Store; forget(): void } {
  const horizon = horizonRow(db);
  const journal = sqliteJournal(db, horizon);
  const settled = sqliteSettled(db, horizon);
  const forgetting = { isHeld: false };
  const checks = sqliteChecks(db, () => corrections.forget());
  const corrections: CorrectionRows = sqliteCorrections(db, checks);
  const { removeWithRecord, ...places } = sqlitePlaces(db, { journal, settled });
  const transaction = <T>(work: () => T): T =>
    refusing(() => committed(db, { journal, settled, horizon, corrections }, work));
  const store: Store = {
    journal: refusingPart(correctedJournal(journal, corrections.ruleOf)),
    probes: refusingPart(sqliteProbes(db, settled)),
    places: refusingPart({
      ...places,
      removeWithRecord(placeId) {
        removeWithRecord(placeId);
        corrections.forget();
      },
    }),
    corrections: refusingPart(corrections),
    checks: refusingPart(checks),
    refusals: refusingPart(sqliteRefusals(db)),
    alarms: refusingPart(sqliteAlarms(db)),
    outbox: refusingPart(sqliteOutbox(db, forgetting)),
    people: refusingPart(sqlitePeople(db, forgetting)),
    pathTests: refusingPart(sqlitePathTests(db, forgetting)),
    diary: refusingPart(sqliteDiary(db)),
    batches: refusingPart(sqliteBatches(db)),
    preparations: refusingPart(sqlitePreparations(db)),
    access: sqliteAccess(db),
    mappings: refusingPart(sqliteMappings(db)),
    sheets: refusingPart(sqliteSheets(db)),
    settled: refusingPart(settled),
    horizon: { get: horizon.get, set: horizon.set },
    handshakes: refusingPart(sqliteHandshakes(db)),
    keys: refusingPart(sqliteKeys(db)),
    restoreGaps: refusingPart(sqliteRestoreGaps(db)),
    waiting: refusingPart(sqliteWaiting(db)),
    archive: refusingPart(sqliteArchive(db, { journal, settled, corrections })),
    clock: refusingPart(sqliteClock(db, { journal, settled, forgetting })),
    transaction,
    carryOn: transaction,
    lasting: () => true,
    // nothing reads it, and setting it writes a page even when it stays as it was
    touch: () => void refusing(() => db.pragma('user_version = 0')),
    close: () => closed(db),
  };
  return {
    store,
    forget() {
      horizon.reload();
      corrections.forget();
      settled.reload();
    },
  };
}

/** Leaves a file that can be read by itself, also on a disk that is read-only by then: its log is folded in. */
function closed(db: Db): void {
  try {
    db.pragma('busy_timeout = 0');
    db.pragma('journal_mode = DELETE');
  } catch {
    // somebody reads it, or the disk accepts nothing: the log stays beside it
  }
  db.close();
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
