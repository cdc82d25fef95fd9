import type { Reading } from '../../../shared/model/probes/probe.ts';
import type { AppendResult, Journal, ProbeTimes, Store } from '../../ports.ts';
import type { HeldReadings } from './held-readings.ts';

type Deps = {
  /** the record's, which may not even be readable */
  readonly record: Journal;
  readonly held: HeldReadings;
  /** the store that stands in: corrections, and how often probes are delivered */
  readonly memory: Pick<Store, 'corrections' | 'journal'>;
};

/** The journal while the record cannot be written: what is on disk, with the readings that are held beside it. */
export function memoryJournal({ record, held, memory }: Deps): Journal {
  const newestKept = new Map<number, number>();
  const keptValue = ({ probeId, tMs }: Reading): number | null => {
    const newestMs = newestKept.get(probeId) ?? orElse(() => record.latest(probeId)?.tMs, 0) ?? 0;
    newestKept.set(probeId, newestMs);
    if (tMs > newestMs) return null;
    const at = { probeIds: [probeId], fromMs: tMs, toMs: tMs, asReported: true };
    return orElse(() => record.window(at)[0]?.values[0], null) ?? null;
  };
  const asCorrected = (reading: Reading) => ({ ...reading, value: memory.corrections.valueOf(reading) });
  return {
    append(reading): AppendResult {
      const kept = keptValue(reading);
      if (kept !== null) return kept === reading.value ? 'repeat' : 'conflict';
      return held.append(reading);
    },
    window: (query) =>
      query.probeIds
        .toSorted((a, b) => a - b)
        .map((probeId) => {
          const [kept] = orElse(() => record.window({ ...query, probeIds: [probeId] }), []);
          const found = held.within(probeId, query);
          return joined(probeId, kept, query.asReported === true ? found : found.map(asCorrected));
        })
        .filter(({ timesMs }) => timesMs.length > 0),
    latest(probeId) {
      const kept = orElse(() => record.latest(probeId), null);
      const newest = held.newest(probeId);
      return newest !== null && newest.tMs > (kept?.tMs ?? 0) ? asCorrected(newest) : kept;
    },
    oldestMs: (probeIds) => orElse(() => record.oldestMs(probeIds), null),
    minutes: (probeId, span) => record.minutes(probeId, span),
    hours: (probeId, span) => record.hours(probeId, span),
    openHours: (probeId) => orElse(() => record.openHours(probeId), []),
    // nothing is sealed, and nothing let go, while nothing can be written
    seal: () => ({ sealed: [], more: false }),
    dropReadings: () => 0,
    noteProgress: memory.journal.noteProgress,
    progressOf: memory.journal.progressOf,
  };
}

/** What the record says; when it cannot be read, something else. */
function orElse<T>(read: () => T, otherwise: T): T {
  try {
    return read();
  } catch {
    return otherwise;
  }
}

function joined(probeId: number, kept: ProbeTimes | undefined, held: readonly Reading[]): ProbeTimes {
  const none = { probeId, timesMs: new Float64Array(), values: new Float64Array() };
  if (held.length === 0) return kept ?? none;
  const onDisk = Array.from(kept?.timesMs ?? [], (tMs, i) => ({ tMs, value: kept?.values[i] as number }));
  const all = [...onDisk, ...held].sort((a, b) => a.tMs - b.tMs);
  return {
    probeId,
    timesMs: Float64Array.from(all, ({ tMs }) => tMs),
    values: Float64Array.from(all, ({ value }) => value),
  };
}
