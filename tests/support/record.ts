import { join } from 'node:path';
import Database from 'better-sqlite3';
import { decodeBlock } from '../../server/domain/seal/block.ts';
import { decodeGroup } from '../../server/domain/seal/group.ts';

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

type Named = { readonly id: number; readonly device: string; readonly name: string };

/**
 * Opens the daemon's database file beside it, to read only: what is seen here is committed. Journal and sealed
 * hours are put together here as an outsider would, by the format in server/domain/seal/README.md.
 *
 * @param dataDir the daemon's data folder
 * @returns the file's contents, read again at every question
 */
export function openRecord(dataDir: string): RecordFile {
  const db = new Database(join(dataDir, 'strikewell.db'), { readonly: true });
  const bodies = db.prepare<[], { body: Uint8Array }>('SELECT body FROM journal ORDER BY id');
  const blocks = db.prepare<[], { id: number; block: Uint8Array }>(
    'SELECT probe_id AS id, block FROM sealed ORDER BY probe_id, hour',
  );
  const probes = db.prepare<[], Named>('SELECT id, device, name FROM probe');

  /** Each reading as often as it stands in the file; one that is both in the journal and sealed stands once. */
  const deviation = (): StoredReading[] => {
    const [inJournal, sealed, names] = db
      .transaction(() => [bodies.all(), blocks.all(), probes.all()] as const)
      .deferred();
    const named = new Map(names.map((probe) => [probe.id, probe]));
    const readingOf = (id: number, tMs: number, value: number): StoredReading[] => {
      const probe = named.get(id);
      return probe ? [{ device: probe.device, probe: probe.name, tMs, value }] : [];
    };
    const inBlocks = sealed.flatMap(({ id, block }) => {
      const { timesMs, values } = decodeBlock(block);
      return Array.from(timesMs, (tMs, i) => readingOf(id, tMs, values[i] as number)).flat();
    });
    const known = new Set(inBlocks.map(keyOf));
    const fresh = inJournal.flatMap(({ body }) =>
      decodeGroup(body).flatMap(({ probeId, tMs, value }) => readingOf(probeId, tMs, value)),
    );
    return [...inBlocks, ...fresh.filter((reading) => !known.has(keyOf(reading)))].sort(
      (a, b) => a.tMs - b.tMs,
    );
  };
  return {
    count: (device) => deviation().filter((reading) => reading.device === device).length,
    readings: (device) => deviation().filter((reading) => device === undefined || reading.device === device),
    twice: () => {
      // read once: the daemon may be writing
      const all = deviation();
      return all.length - new Set(all.map(keyOf)).size;
    },
    integrity: () => String(db.pragma('integrity_check', { simple: true })),
    close: () => void db.close(),
  };
}

function keyOf({ device, probe, tMs }: StoredReading): string {
  return `${device}/${probe}@${tMs}`;
}
