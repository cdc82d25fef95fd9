import { rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { z } from 'zod';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { encodeBlock } from '../../server/domain/seal/block.ts';
import { summaryOf } from '../../server/domain/seal/summary.ts';
import { DEFAULT_MAX_GAP_MS } from '../../shared/exposure/coverage.ts';
import { temporaryFolder } from '../support/folders.ts';
import { type Figure, middleRound, type Round } from './figure.ts';
import { inChild } from './in-child.ts';
import type { Sizes } from './sizes.ts';
import { STEP_MS, sensorsOf } from './workload.ts';

const HOUR_MS = 3_600_000;
const START_MS = Date.UTC(2025, 5, 1);
const PROBES = 20;
const ONCE = 'restore-once.ts';
const onceSchema = z.object({ tookMs: z.number(), peakKiB: z.number() });

/** How long a restore of a large record takes and how much memory, beside plain copies of the same file. */
export async function restoreOfLarge(sizes: Sizes): Promise<Figure[]> {
  const folder = temporaryFolder('restore');
  const from = join(folder, 'backup.db');
  makeLarge(from, { megabytes: sizes.restoreMegabytes, seed: sizes.seed });
  const megabytes = Math.round(statSync(from).size / 1e6);
  const once = async (how: 'restore' | 'vacuum' | 'copy') => {
    const to = join(folder, `${how}.db`);
    const done = await inChild(ONCE, { how, from, to }, onceSchema);
    rmSync(to);
    return done;
  };
  const times: Record<'vacuum' | 'copy', Round[]> = { vacuum: [], copy: [] };
  const memory: Round[] = [];
  for (let round = 0; round < sizes.restoreRounds; round += 1) {
    const [ours, vacuum, copy] = [await once('restore'), await once('vacuum'), await once('copy')];
    times.vacuum.push({ ours: ours.tookMs, theirs: vacuum.tookMs });
    times.copy.push({ ours: ours.tookMs, theirs: copy.tookMs });
    memory.push({ ours: ours.peakKiB / 1024, theirs: vacuum.peakKiB / 1024 });
  }
  const name = `restore of ${megabytes} MB, `;
  const figure = (what: string, unit: string, rounds: readonly Round[], of: string): Figure => {
    const { ours, theirs } = middleRound(rounds);
    return { name: `${name}${what}`, value: ours, unit, of: { name: of, value: theirs } };
  };
  return [
    figure('checked row by row', 'ms', times.vacuum, 'VACUUM INTO of the same file'),
    figure('checked row by row, beside a plain copy', 'ms', times.copy, 'a copy of the file'),
    figure('most memory of the process', 'MiB', memory, 'VACUUM INTO of the same file'),
  ];
}

/** Hours of readings at 10 s of some probes, sealed as the store seals them, until the file is as large. */
function makeLarge(file: string, { megabytes, seed }: { megabytes: number; seed: number }): void {
  const store = openStore({ file, nowMs: START_MS });
  const sensors = sensorsOf({ count: PROBES, seed }).map(({ name, quantity, unit, valueAt }) => ({
    id: store.probes.add({ device: 'large', name, quantity, unit, placeId: null }).id,
    valueAt,
  }));
  store.close();
  const db = new Database(file);
  const add = db.prepare('INSERT INTO sealed VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)');
  const isFull = () =>
    Number(db.pragma('page_count', { simple: true })) * Number(db.pragma('page_size', { simple: true })) >=
    megabytes * 1e6;
  for (let hour = START_MS / HOUR_MS; !isFull(); hour += 1)
    db.transaction(() => {
      for (const { id, valueAt } of sensors) {
        const timesMs = Float64Array.from(
          { length: HOUR_MS / STEP_MS },
          (_, i) => hour * HOUR_MS + i * STEP_MS,
        );
        const record = { timesMs, values: timesMs.map(valueAt) };
        const of = summaryOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS });
        const ends = [of.firstMs, of.lastMs, of.firstValue, of.lastValue, of.min, of.max];
        add.run(id, hour, of.count, ...ends, of.coveredMs, of.area, encodeBlock(record));
      }
    })();
  db.pragma('journal_mode = DELETE');
  db.close();
}
