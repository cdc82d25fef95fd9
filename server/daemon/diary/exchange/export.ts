import { Fault } from '../../../../shared/faults.ts';
import type { KeptBatch } from '../../../domain/batches/batch.ts';
import type { KeptEntry } from '../../../domain/diary/entry.ts';
import { END_MS } from '../../../domain/diary/view.ts';
import { batchNdjson, CSV_BATCHES } from '../../../domain/exchange/write/batches-out.ts';
import { CSV_DIARY, DIARY_LEFT_OUT, diaryNdjson } from '../../../domain/exchange/write/diary-out.ts';
import { CSV_PREPARATIONS, preparationNdjson } from '../../../domain/exchange/write/preparations-out.ts';
import type {
  CuttingsExport,
  CuttingsQuery,
  KeptPreparation,
  PhotoFolder,
  SheetService,
  Store,
} from '../../../ports.ts';

type Context = {
  readonly store: Store;
  readonly sheets: Pick<SheetService, 'list'>;
  readonly photos: Pick<PhotoFolder, 'read'>;
};
type Lines = Iterable<string> | AsyncIterable<string>;
type Part = (context: Context, query: CuttingsQuery) => Lines;
type Kind = Exclude<CuttingsQuery['what'], 'all'>;

/** Entries that are read at once. */
const ENTRIES_A_CHUNK = 500;

/** In the order in which an import needs them. */
const NDJSON: readonly (readonly [Kind, Part])[] = [
  ['sheets', sheetLines],
  ['batches', batchLines],
  ['preparations', planLines],
  ['diary', entryLines],
];
const CSV: Readonly<
  Partial<Record<CuttingsQuery['what'], { readonly part: Part; readonly leftOut: string }>>
> = {
  batches: { part: csvBatches, leftOut: CSV_BATCHES.leftOut },
  preparations: { part: csvPlans, leftOut: CSV_PREPARATIONS.leftOut },
  diary: { part: csvEntries, leftOut: DIARY_LEFT_OUT },
};

/**
 * All own sheets, batches, plans and entries of the diary, a line each; none that was deleted. CSV has one kind in a file.
 * @throws Fault `bad-request` for what CSV does not have
 */
export function exportCuttings(query: CuttingsQuery, context: Context): CuttingsExport {
  const { what, as, photos } = query;
  const fileName = `strikewell-${what === 'all' ? 'cuttings' : what}.${as}`;
  if (as === 'ndjson') {
    const parts = NDJSON.filter(([kind]) => what === 'all' || what === kind).map(([, part]) => part);
    const hasDiary = what === 'all' || what === 'diary';
    const leftOut = hasDiary && !photos ? DIARY_LEFT_OUT : null;
    return { mediaType: 'application/x-ndjson', fileName, leftOut, lines: linesOf(parts, query, context) };
  }
  const csv = CSV[what];
  if (csv === undefined || photos) {
    const message = photos
      ? 'CSV has no space for photos; ask for the diary as NDJSON.'
      : 'CSV has batches, preparations or the diary, each in a file of its own; all together, and sheets, come as NDJSON.';
    throw new Fault({ code: 'bad-request', message, details: { field: 'as' } });
  }
  const { part, leftOut } = csv;
  return { mediaType: 'text/csv; charset=utf-8', fileName, leftOut, lines: linesOf([part], query, context) };
}

async function* linesOf(
  parts: readonly Part[],
  query: CuttingsQuery,
  context: Context,
): AsyncGenerator<string> {
  for (const part of parts) yield* part(context, query);
}

function keptBatches({ store }: Context): KeptBatch[] {
  return store.batches.all().filter(({ deletedMs }) => deletedMs === null);
}

function keptPlans({ store }: Context): KeptPreparation[] {
  return store.preparations.all().filter(({ deletedMs }) => deletedMs === null);
}

function* sheetLines({ sheets }: Context): Generator<string> {
  for (const sheet of sheets.list()) if (sheet.own) yield `${JSON.stringify(sheet)}\n`;
}

function* batchLines(context: Context): Generator<string> {
  for (const batch of keptBatches(context)) yield batchNdjson(batch, context.store.batches.choices);
}

function* csvBatches(context: Context): Generator<string> {
  yield CSV_BATCHES.header();
  for (const batch of keptBatches(context)) yield CSV_BATCHES.row(batch);
}

function batchOf(batchId: number | null, { store }: Context): KeptBatch | null {
  const batch = batchId === null ? null : store.batches.get(batchId);
  return batch?.deletedMs === null ? batch : null;
}

function* planLines(context: Context): Generator<string> {
  for (const plan of keptPlans(context)) yield preparationNdjson(plan, batchOf(plan.batchId, context));
}

function* csvPlans(context: Context): Generator<string> {
  yield CSV_PREPARATIONS.header();
  for (const plan of keptPlans(context)) yield CSV_PREPARATIONS.row(plan, batchOf(plan.batchId, context));
}

/** Numbers of all entries, the newest first: a list goes on where it ended, whatever is written down meanwhile. */
function* numbers({ store }: Context): Generator<number> {
  for (let after: KeptEntry | null = null; ; ) {
    const about = { placeId: null, batch: null, deleted: false };
    const span = { fromMs: Number.MIN_SAFE_INTEGER, toMs: END_MS };
    const found: KeptEntry[] = store.diary.list({ ...about, ...span, after, limit: ENTRIES_A_CHUNK });
    yield* found.map(({ id }) => id);
    after = found.at(-1) ?? null;
    if (after === null) return;
  }
}

/** Entries in the order of time. */
function* entries(context: Context): Generator<KeptEntry> {
  for (const id of [...numbers(context)].reverse()) {
    const entry = context.store.diary.get(id);
    if (entry?.deletedMs === null) yield entry;
  }
}

async function* entryLines(context: Context, { photos }: CuttingsQuery): AsyncGenerator<string> {
  for (const entry of entries(context)) {
    const data = photos && entry.photo !== null ? await context.photos.read(entry.photo) : null;
    yield diaryNdjson({ ...entry, batch: batchOf(entry.batchId, context) }, data);
  }
}

function* csvEntries(context: Context): Generator<string> {
  yield CSV_DIARY.header();
  for (const entry of entries(context))
    yield CSV_DIARY.row({ ...entry, batch: batchOf(entry.batchId, context) });
}
