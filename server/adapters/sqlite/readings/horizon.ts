import type { Horizon } from '../../../domain/disk-space/horizon.ts';
import type { Db } from '../database.ts';

export type HorizonRow = { get(): Horizon | null; set(horizon: Horizon): void; reload(): void };

/** How far the dropping of old readings has come, in SQLite. */
export function horizonRow(db: Db): HorizonRow {
  const read = db.prepare<[], Horizon>(
    'SELECT counted_hour AS countedHour, dropped_hour AS droppedHour FROM horizon',
  );
  const write = db.prepare(
    `INSERT INTO horizon (id, counted_hour, dropped_hour) VALUES (1, ?, ?)
     ON CONFLICT (id) DO UPDATE SET counted_hour = excluded.counted_hour, dropped_hour = excluded.dropped_hour`,
  );
  let known = read.get() ?? null;
  return {
    get: () => known,
    set(horizon) {
      write.run(horizon.countedHour, horizon.droppedHour);
      known = horizon;
    },
    reload() {
      known = read.get() ?? null;
    },
  };
}
