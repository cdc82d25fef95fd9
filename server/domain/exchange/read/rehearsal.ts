import type { DecodedReading } from '../../ingest/decode.ts';
import type { Outcome } from './tally.ts';

/** Repeats within a file are seen in a dry run when they are no more readings apart; up to twice as many are remembered. */
export const MAX_REMEMBERED = 50_000;
/** Stored readings are read stretch by stretch; one is no longer than this, ms. */
const STRETCH_MS = 6 * 3_600_000;

/** What is stored of probes in a stretch of time: ascending times, ms since epoch, and values, by the probe's name. */
export type Stored = ReadonlyMap<string, { readonly timesMs: Float64Array; readonly values: Float64Array }>;
export type Stretch = { readonly probes: readonly string[]; readonly fromMs: number; readonly toMs: number };

/**
 * Says what storing readings would do, and stores none.
 * @param storedIn reads what is stored of probes in a short stretch of time
 */
export function createRehearsal(storedIn: (stretch: Stretch) => Stored) {
  let [newest, older] = [new Map<string, number>(), new Map<string, number>()];
  const remember = (key: string, value: number) => {
    if (newest.size === MAX_REMEMBERED) [newest, older] = [new Map(), newest];
    newest.set(key, value);
  };
  return (readings: readonly DecodedReading[]): Outcome[] =>
    stretchesOf(readings).flatMap((stretch) => {
      const stored = storedIn(spanOf(stretch));
      return stretch.map(({ probe, tMs, value }): Outcome => {
        const key = `${tMs} ${probe}`;
        const before = newest.get(key) ?? older.get(key) ?? storedAt(stored, { probe, tMs });
        if (before !== null) return before === value ? 'repeat' : 'conflict';
        remember(key, value);
        return 'stored';
      });
    });
}

/** Readings in the order of time, those of one time in the order they came, cut where they would reach too far. */
function stretchesOf(readings: readonly DecodedReading[]): DecodedReading[][] {
  const stretches: DecodedReading[][] = [];
  for (const reading of readings.toSorted((a, b) => a.tMs - b.tMs)) {
    const last = stretches.at(-1);
    const startMs = last?.[0]?.tMs;
    if (last && startMs !== undefined && reading.tMs - startMs < STRETCH_MS) last.push(reading);
    else stretches.push([reading]);
  }
  return stretches;
}

function spanOf(stretch: readonly DecodedReading[]): Stretch {
  const probes = [...new Set(stretch.map(({ probe }) => probe))];
  return { probes, fromMs: stretch[0]?.tMs ?? 0, toMs: stretch.at(-1)?.tMs ?? 0 };
}

function storedAt(stored: Stored, { probe, tMs }: { probe: string; tMs: number }): number | null {
  const record = stored.get(probe);
  if (!record) return null;
  let [low, high] = [0, record.timesMs.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((record.timesMs[middle] ?? 0) < tMs) low = middle + 1;
    else high = middle;
  }
  return record.timesMs[low] === tMs ? (record.values[low] ?? null) : null;
}
