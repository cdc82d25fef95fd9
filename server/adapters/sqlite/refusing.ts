import Database from 'better-sqlite3';
import { Fault } from '../../../shared/faults.ts';

/**
 * What the disk, the file or the system refuses, and what is wrong with the record as a whole, as a table that is
 * gone (SQLITE_ERROR); any other error of the database hangs on what was to be written, and is a mistake of ours.
 */
const REFUSALS =
  /^SQLITE_(FULL|IOERR|READONLY|CANTOPEN|CORRUPT|NOTADB|BUSY|LOCKED|PERM|AUTH|NOMEM|PROTOCOL|SCHEMA|ERROR)/;

/**
 * Does work on the database; what the disk refuses becomes an expected fault.
 * @throws Fault `store-failed` in the database's words, and whatever else the work throws
 */
export function refusing<T>(work: () => T): T {
  try {
    return work();
  } catch (cause) {
    if (!(cause instanceof Database.SqliteError) || !REFUSALS.test(cause.code)) throw cause;
    throw new Fault({ code: 'store-failed', message: cause.message, cause });
  }
}

/** The same for each function of a part of the store: what cannot be read is an expected fault too. */
export function refusingPart<T extends object>(part: T): T {
  const functions = Object.entries(part).map(([name, one]) => [
    name,
    (...given: unknown[]) => refusing(() => one(...given)),
  ]);
  return Object.fromEntries(functions) as T;
}
