import type { InstallationKeys, RestoreGap, RestoreGaps } from '../../../../ports.ts';
import type { Db } from '../../database.ts';
import { refusing } from '../../refusing.ts';

/** The keys of the installation, in SQLite. */
export function sqliteKeys(db: Db): InstallationKeys {
  const read = db.prepare<[string], string>('SELECT value FROM installation_key WHERE name = ?').pluck();
  const write = db.prepare<[string, string]>(
    'INSERT INTO installation_key (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value',
  );
  return {
    read: (name) => refusing(() => read.get(name)) ?? null,
    write: (name, value) => void refusing(() => write.run(name, value)),
  };
}

/** What a restore could not bring, in SQLite. */
export function sqliteRestoreGaps(db: Db): RestoreGaps {
  const all = db.prepare<[], RestoreGap>(
    'SELECT way_id AS wayId, why, since_ms AS sinceMs FROM restore_gap ORDER BY way_id',
  );
  const note = db.prepare<[number, string, number]>(
    'INSERT INTO restore_gap (way_id, why, since_ms) VALUES (?, ?, ?) ON CONFLICT DO NOTHING',
  );
  const close = db.prepare<[number]>('DELETE FROM restore_gap WHERE way_id = ?');
  return {
    all: () => refusing(() => all.all()),
    note: ({ wayId, why, sinceMs }) => void refusing(() => note.run(wayId, why, sinceMs)),
    close: (wayId) => void refusing(() => close.run(wayId)),
  };
}
