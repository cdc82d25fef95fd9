import { Fault } from '../../../../shared/faults.ts';
import type { ImportReport } from '../../../../shared/wire/exchange.ts';
import { horizonMs } from '../../../domain/disk-space/horizon.ts';
import { MIN_BATCH, nextBatch } from '../../../domain/exchange/read/batch.ts';
import {
  createCsvFile,
  createSenmlFile,
  type FileItem,
  type FileOrder,
  type FileReader,
} from '../../../domain/exchange/read/file-reader.ts';
import { createNdjsonFile, createReadingRows } from '../../../domain/exchange/read/line-read.ts';
import { createRehearsal, type Stored, type Stretch } from '../../../domain/exchange/read/rehearsal.ts';
import { type Outcome, Tally } from '../../../domain/exchange/read/tally.ts';
import type { DecodedReading } from '../../../domain/ingest/decode.ts';
import { withReading } from '../../../domain/present/latest-readings.ts';
import type { Clock, Columns, ImportOrder, Timers } from '../../../ports.ts';
import { quotaFor } from '../../admission/admitting.ts';
import { type ContactContext, probeOf } from '../../intake/auto-provision.ts';
import { createTextDecoder } from './text.ts';
import { unpacked } from './unpacked.ts';

export type ImportContext = ContactContext & {
  readonly columns: Columns;
  readonly clock: Clock;
  readonly timers: Timers;
  /** called after the commit that made or changed it */
  readonly placeChanged: (placeId: string) => void;
};

type Advance = (step: { readonly bytes: number; readonly rows: number; readonly stored: number }) => void;

/** Hours sealed between two transactions: the readings of a file lie in hours that are long over. */
const HOURS_SEALED_A_TURN = 20;

const PIECE_BYTES = 16_384;
/** A file of columns is held in memory, bytes. */
const MOST_COLUMN_BYTES = 64 * 1024 ** 2;
const ROWS_A_PART = 500;

const READERS = { csv: createCsvFile, ndjson: createNdjsonFile, senml: createSenmlFile } as const;

const pauseOf = ({ timers }: ImportContext) => new Promise<void>((resolve) => timers.soon(resolve));

/**
 * Reads a file of readings and stores them, or in a dry run only says what storing would do. They are stored in short
 * transactions with pauses between, so messages are accepted meanwhile; what is cut off leaves whole transactions, and can
 * be begun again, for a reading that is stored already is a repeat. No alarm is judged by a file.
 * @throws Fault `bad-request`, `store-failed`
 */
export async function importFrom(
  file: AsyncIterable<Uint8Array>,
  order: ImportOrder,
  { context, advance }: { context: ImportContext; advance: Advance },
): Promise<ImportReport> {
  const { world, clock, store } = context;
  const { device } = order;
  const { takenFromMs } = horizonMs(store.horizon.get());
  const reading = { ...order, nowMs: clock.nowMs(), takenFromMs };
  const reader = order.as === 'parquet' ? null : READERS[order.as](reading);
  const tally = new Tally((probe) => world.probeNamed({ device, name: probe }) === null);
  const newPlace = world.places.has(device) ? null : device;
  requireLive(device, context);
  const { room } = quotaFor(device, context);
  const put = order.dryRun ? rehearsing(device, context) : storing(context);
  const settle = order.dryRun ? async () => undefined : () => sealed(context);
  const batches = createBatches({ put, settle, tally }, context);
  const take = async (items: readonly FileItem[]) => {
    for (const item of items) {
      tally.row(item);
      if (tally.newProbes > room) throw tooManyProbes(device, room);
      if (item.kind === 'readings') await batches.add(item.readings);
    }
  };
  const isOpen = () => (reader?.plan()?.undecided.length ?? 0) > 0;
  let bytes = 0;
  const plain = unpacked(file);
  const parts = reader === null ? inColumns(plain, reading, context) : inText(plain, reader);
  for await (const part of parts) {
    await take(part.items);
    bytes += part.bytes;
    advance({ bytes, rows: tally.rows, stored: tally.stored });
    await pauseOf(context);
    if (isOpen()) break;
  }
  await batches.flush();
  advance({ bytes, rows: tally.rows, stored: tally.stored });
  const { mapping = null, text = '', undecided = [], notes = [] } = reader?.plan() ?? {};
  const counted = tally.counted(order.repeatedHour);
  const isPlaceMade = counted.probes.length > 0 ? newPlace : null;
  return {
    device,
    dryRun: order.dryRun,
    mapping,
    mappingText: text,
    undecided,
    notes,
    newPlace: isPlaceMade,
    ...counted,
  };
}

type Part = { readonly items: readonly FileItem[]; readonly bytes: number };

/** What stands in a file of text, as it comes; the last part is what its end lets be read. */
async function* inText(file: AsyncIterable<Uint8Array>, reader: FileReader): AsyncGenerator<Part> {
  const decode = createTextDecoder();
  for await (const piece of inPieces(file))
    yield { items: reader.push(decode.push(piece)), bytes: piece.length };
  yield { items: [...reader.push(decode.end()), ...reader.end()], bytes: 0 };
}

/** A file of columns says at its end what it holds, so all of it must be there first. */
async function* inColumns(
  file: AsyncIterable<Uint8Array>,
  order: FileOrder,
  { columns }: ImportContext,
): AsyncGenerator<Part> {
  const pieces: Uint8Array[] = [];
  let bytes = 0;
  for await (const piece of file) {
    pieces.push(piece);
    bytes += piece.length;
    if (bytes > MOST_COLUMN_BYTES) throw tooLarge();
    yield { items: [], bytes: piece.length };
  }
  const whole = new Uint8Array(bytes);
  let at = 0;
  for (const piece of pieces.splice(0)) {
    whole.set(piece, at);
    at += piece.length;
  }
  const read = createReadingRows(order);
  let line = 0;
  for await (const rows of columns.read(whole))
    for (let from = 0; from < rows.length; from += ROWS_A_PART) {
      const part = rows.slice(from, from + ROWS_A_PART).map((row) => ({ row, line: ++line }));
      yield { items: read.take(part), bytes: 0 };
    }
  yield { items: read.end(), bytes: 0 };
}

function tooLarge(): Fault {
  const message = `A Parquet file of more than ${MOST_COLUMN_BYTES / 1024 ** 2} MiB is not taken whole; export it in shorter spans.`;
  return new Fault({ code: 'bad-request', message });
}

/** A file in pieces small enough that reading one holds nobody up. */
async function* inPieces(file: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  for await (const piece of file)
    for (let at = 0; at < piece.length; at += PIECE_BYTES) yield piece.subarray(at, at + PIECE_BYTES);
}

type Put = (readings: readonly DecodedReading[]) => readonly Outcome[];
type Batching = { readonly put: Put; readonly settle: () => Promise<void>; readonly tally: Tally };

/** Gathers readings into transactions, each as large as the last ones were quick, with a pause after each. */
function createBatches({ put, settle, tally }: Batching, context: ImportContext) {
  const { clock } = context;
  let waiting: DecodedReading[] = [];
  let size = MIN_BATCH;
  const flush = async () => {
    if (waiting.length === 0) return;
    const startMs = clock.nowMs();
    for (const outcome of put(waiting)) tally.outcome(outcome);
    waiting = [];
    size = nextBatch({ size, tookMs: clock.nowMs() - startMs });
    await pauseOf(context);
    await settle();
  };
  return {
    flush,
    async add(readings: readonly DecodedReading[]) {
      waiting.push(...readings);
      if (waiting.length >= size) await flush();
    },
  };
}

function rehearsing(device: string, { world, store }: ImportContext): Put {
  const storedIn = ({ probes, fromMs, toMs }: Stretch): Stored => {
    const known = probes.flatMap((name) => world.probeNamed({ device, name }) ?? []);
    const window = store.journal.window({
      probeIds: known.map(({ id }) => id),
      fromMs,
      toMs,
      asReported: true,
    });
    return new Map(
      window.flatMap(({ probeId, ...times }) => {
        const probe = world.probes.get(probeId);
        return probe ? [[probe.name, times] as const] : [];
      }),
    );
  };
  return createRehearsal(storedIn);
}

function storing(context: ImportContext): Put {
  const { world, store, placeChanged } = context;
  return (readings) => {
    const made = { placesMade: new Set<string>() };
    const reporting = new Set<string>();
    let outcomes: Outcome[];
    try {
      outcomes = store.transaction(() =>
        readings.map((reading) => storeOne(reading, context, { made, latest: reporting })),
      );
    } catch (cause) {
      world.reload();
      if (cause instanceof Fault) throw cause;
      const why = cause instanceof Error ? cause.message : String(cause);
      throw new Fault({
        code: 'store-failed',
        message: `The database could not keep the file: ${why}.`,
        cause,
      });
    }
    for (const placeId of new Set([...made.placesMade, ...reporting])) placeChanged(placeId);
    return outcomes;
  };
}

/** Seals what the file brought, a few hours a turn: it lies in hours that are long over, and would fill the memory. */
async function sealed(context: ImportContext): Promise<void> {
  const { store, clock } = context;
  while (store.journal.seal({ nowMs: clock.nowMs(), limit: HOURS_SEALED_A_TURN }).more)
    await pauseOf(context);
}

type Effects = { readonly made: { readonly placesMade: Set<string> }; readonly latest: Set<string> };

/** Stores a reading without judging it: what a file says is late, whatever its time. */
function storeOne(
  reading: DecodedReading,
  context: ImportContext,
  { made, latest: reporting }: Effects,
): Outcome {
  const { world, store } = context;
  const { device, probe: name, tMs, value } = reading;
  const isNew = world.probeNamed({ device, name }) === null;
  const probe = probeOf(reading, context, made);
  if (isNew) {
    store.probes.setFromFile(probe.id, true);
    world.fromFile.add(probe.id);
  }
  const raw = { probeId: probe.id, tMs, value };
  const outcome = store.journal.append(raw);
  if (outcome === 'conflict') {
    store.probes.countConflict(probe.id);
    world.putProbe({ ...probe, conflicts: (world.probes.get(probe.id)?.conflicts ?? 0) + 1 });
  }
  const before = world.latest.get(probe.id) ?? null;
  if (outcome !== 'stored' || (before && before.tMs >= tMs)) return outcome;
  world.latest.set(probe.id, withReading(before, { tMs, value: store.corrections.valueOf(raw) }));
  if (probe.placeId !== null) reporting.add(probe.placeId);
  return outcome;
}

function requireLive(device: string, { world }: ImportContext): void {
  if (world.archived.itemsOf(device).length === 0) return;
  const message = `"${device}", its place or a probe of it was archived or deleted: restore it first, or remove it for good.`;
  throw new Fault({ code: 'bad-request', message, details: { device } });
}

function tooManyProbes(device: string, room: number): Fault {
  const message = `The file holds more than ${room} new probes; no more of "${device}" are kept. Map fewer columns.`;
  return new Fault({ code: 'bad-request', message, details: { device, room } });
}
