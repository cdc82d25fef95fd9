import { Fault, invariant } from '../../../../shared/faults.ts';
import type { Place } from '../../../../shared/model/place.ts';
import type { Exposures } from '../../../../shared/wire/http.ts';
import type { KeptBatch } from '../../../domain/batches/batch.ts';
import { horizonMs } from '../../../domain/disk-space/horizon.ts';
import type { Track } from '../../../domain/exchange/read/tracks.ts';
import { type AlarmLine, alarmNdjson, CSV_ALARMS } from '../../../domain/exchange/write/alarms-out.ts';
import { batchesIn, batchNdjson, CSV_BATCHES } from '../../../domain/exchange/write/batches-out.ts';
import { CSV_DIARY, DIARY_LEFT_OUT, diaryNdjson } from '../../../domain/exchange/write/diary-out.ts';
import { CSV_EXPOSURES, stretchesOf } from '../../../domain/exchange/write/exposures-out.ts';
import {
  CSV_READINGS,
  NDJSON_READINGS,
  readingRows,
  SENML_READINGS,
} from '../../../domain/exchange/write/readings-out.ts';
import type {
  Columns,
  ExportAnswer,
  ExportChunk,
  ExportQuery,
  ProbeTimes,
  Span,
  Store,
} from '../../../ports.ts';
import type { World } from '../../world/world.ts';

export type ExportContext = {
  readonly columns: Columns;
  readonly world: World;
  readonly store: Store;
  readonly timeZone: string;
  readonly exposures: (placeId: string, span: Span) => Exposures;
};

/** One chunk's readings: short enough that those who wait for their commit are not held up. */
const SLICE_MS = 3_600_000;
const EVENTS_A_CHUNK = 500;

const WRITERS = { csv: CSV_READINGS, ndjson: NDJSON_READINGS, senml: SENML_READINGS } as const;
const MEDIA_TYPES = {
  csv: 'text/csv; charset=utf-8',
  ndjson: 'application/x-ndjson',
  senml: 'application/senml+json',
  parquet: 'application/vnd.apache.parquet',
} as const;
/** What a form is called where another thing than readings is asked for in it. */
const OF_READINGS = { senml: 'SenML', parquet: 'Parquet' } as const;

/** Days of a span are separated before the first is counted, and nobody else has a turn meanwhile: 20 years, ms. */
const LONGEST_COUNTED_MS = 7_305 * 86_400_000;

/**
 * What a place's record holds of a span, as text, chunk after chunk: nothing is read before it is asked for.
 * The span holds its start and not its end, so that spans put end to end have each reading once.
 * @throws Fault `bad-request` for a form the thing does not have, or exposures of too long a span
 */
export function exportOf(place: Place, query: ExportQuery, context: ExportContext): ExportAnswer {
  const { what, as, span } = query;
  if ((as === 'senml' || as === 'parquet') && what !== 'readings') {
    const message = `${OF_READINGS[as]} holds readings; ask for ${what} as csv or ndjson.`;
    throw new Fault({ code: 'bad-request', message, details: { field: 'as' } });
  }
  if (what === 'exposures' && span.toMs - span.fromMs > LONGEST_COUNTED_MS) {
    const message = 'Exposures of at most 20 years are counted in one file; ask for a shorter span.';
    throw new Fault({ code: 'bad-request', message, details: { field: 'from' } });
  }
  const make = { readings, exposures, alarms, batches, diary }[what];
  return {
    mediaType: MEDIA_TYPES[as],
    leftOut: leftOutOf(place, query, context),
    fileName: `${safeName(place.id)}-${what}-${dayOf(span.fromMs)}-${dayOf(span.toMs)}.${as}`,
    chunks: make(place, query, context),
  };
}

/** What a form has no space for, and what is kept no more. */
function leftOutOf(place: Place, query: ExportQuery, context: ExportContext): string | null {
  const { what, as } = query;
  if (what === 'readings') return readingsLeftOut(place, query, context);
  if (what === 'batches' && as === 'csv') return CSV_BATCHES.leftOut;
  return what === 'diary' ? DIARY_LEFT_OUT : null;
}

/** Readings that were dropped for their age are in no file, and SenML has no room for corrected ones. */
function readingsLeftOut(
  place: Place,
  { as, span }: ExportQuery,
  { store, world }: ExportContext,
): string | null {
  const { readingsFromMs } = horizonMs(store.horizon.get());
  const asReported =
    'Its values are as the probes reported them, without corrections; the other formats have both.';
  const isCorrectedAt = world.probesOf(place.id).some(({ id }) => isCorrected(id, span, store));
  const raw = [
    ...(span.fromMs < readingsFromMs ? [droppedBefore(readingsFromMs)] : []),
    ...(as === 'senml' && isCorrectedAt ? [asReported] : []),
  ];
  return raw.length === 0 ? null : raw.join(' ');
}

function droppedBefore(atMs: number): string {
  return `Readings before ${new Date(atMs).toISOString()} were dropped for their age and are not in it.`;
}

function* readings(
  place: Place,
  { as, span }: ExportQuery,
  { world, store, columns }: ExportContext,
): Generator<ExportChunk> {
  const probes = [...world.probesOf(place.id)].sort((a, b) => a.id - b.id);
  const probeIds = probes.map((probe) => probe.id);
  const corrected = new Set(probeIds.filter((probeId) => isCorrected(probeId, span, store)));
  const writer = as === 'parquet' ? inColumns(columns, corrected) : WRITERS[as];
  yield { text: writer.head(probes, corrected), atMs: span.fromMs };
  for (let fromMs = span.fromMs; fromMs < span.toMs; fromMs += SLICE_MS) {
    const endMs = Math.min(fromMs + SLICE_MS, span.toMs);
    const slice = { fromMs, toMs: endMs - 1 };
    const raw = store.journal.window({ probeIds, ...slice, asReported: true });
    const window = new Map(raw.map((times) => [times.probeId, times]));
    const tracks = probes.map((probe) => ({
      probe,
      timesMs: window.get(probe.id)?.timesMs ?? [],
      values: window.get(probe.id)?.values ?? [],
      corrected: corrected.has(probe.id) ? usedOf(probe.id, window.get(probe.id), store) : null,
    }));
    yield { text: window.size > 0 ? writer.body(tracks) : '', atMs: endMs };
  }
  if ('end' in writer) yield { text: writer.end(), atMs: span.toMs };
}

/** The same hour by hour in columns, whose file ends with what it says of itself. */
function inColumns(columns: Columns, corrected: ReadonlySet<number>) {
  const writer = columns.write({ withCorrected: corrected.size > 0 });
  return {
    head: () => '',
    body: (tracks: readonly Track[]) => writer.add(readingRows(tracks)),
    end: writer.end,
  };
}

/** Whether anything of a probe is used otherwise than it was reported, in a span. */
function isCorrected(probeId: number, { toMs }: Span, { corrections }: Store): boolean {
  return corrections.touches(probeId, toMs);
}

/** What readings are taken for; null for those of a bath or jar, which are not used. */
function usedOf(probeId: number, raw: ProbeTimes | undefined, { corrections }: Store): (number | null)[] {
  if (!raw) return [];
  return Array.from(raw.timesMs, (tMs, i) =>
    corrections.isAway(probeId, tMs)
      ? null
      : corrections.valueOf({ probeId, tMs, value: raw.values[i] as number }),
  );
}

function* exposures(
  place: Place,
  { as, span, by }: ExportQuery,
  context: ExportContext,
): Generator<ExportChunk> {
  let isFirst = true;
  for (const stretch of stretchesOf({ ...span, by, zone: context.timeZone })) {
    const found = context.exposures(place.id, stretch);
    const head = isFirst && as === 'csv' ? CSV_EXPOSURES.header(found) : '';
    const row = as === 'csv' ? CSV_EXPOSURES.row(found) : `${JSON.stringify(found)}\n`;
    isFirst = false;
    yield { text: head + row, atMs: stretch.toMs };
  }
}

function* alarms(
  place: Place,
  { as, span }: ExportQuery,
  { world, store }: ExportContext,
): Generator<ExportChunk> {
  yield { text: as === 'csv' ? CSV_ALARMS.header() : '', atMs: span.fromMs };
  for (let afterId = 0; ; ) {
    const query = { placeId: place.id, ...span, afterId, limit: EVENTS_A_CHUNK };
    const events = store.alarms.eventsOfPlace(query);
    const last = events.at(-1);
    if (!last) return;
    afterId = last.id;
    const lines = events.map((event): AlarmLine => {
      const alarm = world.alarms.get(event.alarmId);
      invariant(alarm, `the alarm ${event.alarmId} has events and is not there`);
      return {
        ...event,
        placeId: place.id,
        placeName: place.name,
        rule: alarm.rule,
        priority: alarm.priority,
      };
    });
    yield { text: lines.map(as === 'csv' ? CSV_ALARMS.row : alarmNdjson).join(''), atMs: last.atMs };
  }
}

/** Those that stood there in the span, each whole. */
function* batches(place: Place, { as, span }: ExportQuery, { store }: ExportContext): Generator<ExportChunk> {
  const found = batchesIn(store.batches.atPlace(place.id), { placeId: place.id, ...span });
  const line = (batch: KeptBatch) => batchNdjson(batch, store.batches.choices);
  const lines = found.map(as === 'csv' ? CSV_BATCHES.row : line);
  yield { text: (as === 'csv' ? CSV_BATCHES.header() : '') + lines.join(''), atMs: span.toMs };
}

/** Entries of the place, in the order of time, those of batches that stood there too; none that was deleted. */
function* diary(place: Place, { as, span }: ExportQuery, { store }: ExportContext): Generator<ExportChunk> {
  const query = { placeId: place.id, batch: null, ...span, deleted: false, after: null, limit: -1 };
  const found = store.diary.list(query).toReversed();
  yield { text: as === 'csv' ? CSV_DIARY.header() : '', atMs: span.fromMs };
  for (let at = 0; at < found.length; at += EVENTS_A_CHUNK) {
    const part = found.slice(at, at + EVENTS_A_CHUNK);
    const lines = part.map((entry) => {
      const batch = entry.batchId === null ? null : store.batches.get(entry.batchId);
      const of = { ...entry, batch: batch?.deletedMs === null ? batch : null };
      return as === 'csv' ? CSV_DIARY.row(of) : diaryNdjson(of);
    });
    yield { text: lines.join(''), atMs: part.at(-1)?.atMs ?? span.toMs };
  }
}

/** A file name that no shell, header or folder takes for something else. */
function safeName(id: string): string {
  return id.replace(/[^A-Za-z0-9_-]/g, '_').slice(0, 64);
}

function dayOf(atMs: number): string {
  return new Date(atMs).toISOString().slice(0, 10);
}
