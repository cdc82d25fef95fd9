import { join } from 'node:path';
import Database from 'better-sqlite3';

export type StoredReading = {
  readonly device: string;
  readonly probe: string;
  readonly tMs: number;
  readonly value: number;
};

export type RecordFile = {
  /** how many readings of a device are committed */
  count(device: string): number;
  /** the readings of a device, or of all devices, oldest first */
  readings(device?: string): StoredReading[];
  /** how many pairs of probe and time are there more than once */
  twice(): number;
  /** what `PRAGMA integrity_check` says; `ok` for a sound file */
  integrity(): string;
  close(): void;
};

const NAMED = 'FROM reading JOIN probe ON probe.id = reading.probe_id';

/**
 * Opens the daemon's database file beside it, to read only: what is seen here is committed.
 *
 * @param dataDir the daemon's data folder
 * @returns the file's contents, read anew at every question
 */
export function openRecord(dataDir: string): RecordFile {
  const db = new Database(join(dataDir, 'strikewell.db'), { readonly: true });
  const count = db.prepare<[string], number>(`SELECT count(*) ${NAMED} WHERE device = ?`).pluck();
  const readings = db.prepare<[string], StoredReading>(
    `SELECT device, name AS probe, t_ms AS tMs, value ${NAMED} WHERE device GLOB ? ORDER BY t_ms, probe_id`,
  );
  const twice = db
    .prepare<[], number>(
      `SELECT count(*) FROM (SELECT 1 ${NAMED} GROUP BY device, name, t_ms HAVING count(*) > 1)`,
    )
    .pluck();
  return {
    count: (device) => count.get(device) ?? 0,
    readings: (device = '*') => readings.all(device),
    twice: () => twice.get() ?? 0,
    integrity: () => String(db.pragma('integrity_check', { simple: true })),
    close: () => void db.close(),
  };
}
