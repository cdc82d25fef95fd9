import Database from 'better-sqlite3';
import { decodeBlock } from '../../../domain/seal/block.ts';
import { decodeGroup } from '../../../domain/seal/group.ts';
import { holdsMinutes } from '../../../domain/seal/minutes.ts';
import { HOUR_MS } from '../readings/open-hours.ts';
import { hasTable } from './check.ts';

/** Groups not sealed yet that are looked through. */
const MOST_GROUPS = 20_000;

type ClockOfRecord = {
  readonly future: { readonly newestMs: number; readonly readings: number } | null;
  readonly newestJump: { readonly fromMs: number; readonly toMs: number; readonly byMs: number } | null;
  readonly setAside: number;
};

/** What a record says of the clock, read without changing it, also beside a daemon that writes it. */
export function inspectClock(file: string, fromMs: number): ClockOfRecord {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  try {
    return db.transaction(() => ({ future: futureIn(db, fromMs), ...asideIn(db) }))();
  } finally {
    db.close();
  }
}

function futureIn(db: Database.Database, fromMs: number): ClockOfRecord['future'] {
  if (!hasTable(db, 'sealed')) return null;
  const blocks = db
    .prepare<[number], Uint8Array>('SELECT block FROM sealed WHERE last_ms > ?')
    .pluck()
    .iterate(fromMs);
  const known = new Map<string, number>();
  let [newestMs, readings] = [0, 0];
  const take = (tMs: number) => {
    if (tMs <= fromMs) return;
    readings += 1;
    newestMs = Math.max(newestMs, tMs);
  };
  for (const block of blocks)
    if (!holdsMinutes(block)) for (const tMs of decodeBlock(block).timesMs) take(tMs);
  const groups = db
    .prepare<[number], Uint8Array>('SELECT body FROM journal ORDER BY id DESC LIMIT ?')
    .pluck()
    .all(MOST_GROUPS);
  const sealed = db
    .prepare<[number, number], number>('SELECT last_ms FROM sealed WHERE probe_id = ? AND hour = ?')
    .pluck();
  for (const { probeId, tMs } of groups.flatMap((body) => decodeGroup(body))) {
    if (tMs <= fromMs) continue;
    const hour = Math.floor(tMs / HOUR_MS);
    const key = `${probeId}/${hour}`;
    const sealedToMs = known.get(key) ?? sealed.get(probeId, hour) ?? Number.NEGATIVE_INFINITY;
    known.set(key, sealedToMs);
    // sealed, and not cleared yet: counted above
    if (tMs > sealedToMs) take(tMs);
  }
  return readings === 0 ? null : { newestMs, readings };
}

function asideIn(db: Database.Database): Pick<ClockOfRecord, 'newestJump' | 'setAside'> {
  if (!hasTable(db, 'clock_jump')) return { newestJump: null, setAside: 0 };
  const newestJump = db
    .prepare<[], NonNullable<ClockOfRecord['newestJump']>>(
      'SELECT from_ms AS fromMs, to_ms AS toMs, by_ms AS byMs FROM clock_jump ORDER BY id DESC LIMIT 1',
    )
    .get();
  const setAside = db.prepare<[], number | null>('SELECT sum(count) FROM set_aside').pluck().get() ?? 0;
  return { newestJump: newestJump ?? null, setAside };
}
