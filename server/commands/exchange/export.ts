import { once } from 'node:events';
import { createWriteStream, renameSync, rmSync } from 'node:fs';
import { Readable, type Writable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGzip } from 'node:zlib';
import { Fault } from '../../../shared/faults.ts';
import { EXPORT_FORMS, EXPORT_STEPS, EXPORT_WHATS } from '../../../shared/wire/exchange.ts';
import { systemTimers } from '../../adapters/system/clock.ts';
import type { ExportChunk, Span } from '../../ports.ts';
import type { Command, Given } from '../command.ts';
import { chosenOption, instantOption, requiredOption, textOption } from '../options.ts';
import { formOf } from './form.ts';
import { cuttingsOver, exchangeOver, openToRead } from './record-exchange.ts';

const REPORT_EVERY_MS = 1_000;

/** Writes what a place's record holds to a file or to standard output, streaming; a daemon may run beside it. */
export const exportRecord: Command = {
  summary:
    "write a place's readings, exposures, alarms, batches or diary, or all cuttings, to a file or to standard output",
  usage:
    '--place ID [--from TIME] [--to TIME] [--what readings|exposures|alarms|batches|diary]\n' +
    '  [--as csv|ndjson|senml|parquet] [--by day|hour] [--out FILE] [--gzip] [--progress] [--config FILE]\n' +
    '--what cuttings|sheets|batches|preparations|diary [--as ndjson|csv] [--photos] [--out FILE]\n\n' +
    'Without --place: of all places, as import takes it; "cuttings" is all of these in one file. A FILE that ends in\n' +
    '.ndjson, .senml or .parquet says its format, one that ends in .gz is compressed.',
  forOthers: true,
  options: {
    place: { type: 'string' },
    from: { type: 'string' },
    to: { type: 'string' },
    what: { type: 'string' },
    as: { type: 'string' },
    by: { type: 'string' },
    out: { type: 'string' },
    gzip: { type: 'boolean' },
    photos: { type: 'boolean' },
    progress: { type: 'boolean' },
  },
  async run(given) {
    const { values, words, settings } = given;
    if (words.length > 0) {
      const message = `"${words.join(' ')}" means nothing here; name the file with --out FILE.`;
      throw new Fault({ code: 'bad-request', message });
    }
    if (isOfCuttings(values)) return exportCuttings(given);
    const placeId = requiredOption(values, 'place', 'the id of the place, as in its address on the page');
    const query = {
      what: chosenOption(values, 'what', { known: EXPORT_WHATS, otherwise: null }) ?? 'readings',
      as:
        chosenOption(values, 'as', { known: EXPORT_FORMS, otherwise: null }) ??
        formOf(textOption(values, 'out') ?? '') ??
        'csv',
      by: chosenOption(values, 'by', { known: EXPORT_STEPS, otherwise: null }) ?? 'day',
      fromMs: instantOption(values, 'from'),
      toMs: instantOption(values, 'to'),
    };
    const store = openToRead(settings);
    try {
      const answer = exchangeOver(store, settings).exportOf(placeId, query);
      if (answer.leftOut !== null) given.note(answer.leftOut);
      await write(answer, given);
    } finally {
      store.close();
    }
    return { code: 0 };
  },
};

/** What is written of all places at once. */
const CUTTINGS_WHATS = ['cuttings', 'batches', 'preparations', 'sheets', 'diary'] as const;

function isOfCuttings(values: Given['values']): boolean {
  return values['place'] === undefined && CUTTINGS_WHATS.some((what) => what === values['what']);
}

async function exportCuttings({ values, settings, note }: Given): Promise<{ readonly code: number }> {
  const what = chosenOption(values, 'what', { known: CUTTINGS_WHATS, otherwise: null }) ?? 'cuttings';
  const store = openToRead(settings);
  try {
    const { leftOut, lines } = cuttingsOver(store, settings).exportOf({
      what: what === 'cuttings' ? 'all' : what,
      as: chosenOption(values, 'as', { known: ['ndjson', 'csv'], otherwise: null }) ?? 'ndjson',
      photos: values['photos'] === true,
    });
    if (leftOut !== null) note(leftOut);
    await writeOut(Readable.from(lines), textOption(values, 'out'));
  } finally {
    store.close();
  }
  return { code: 0 };
}

async function writeOut(texts: Readable, out: string | null): Promise<void> {
  if (out === null) await writeTo(process.stdout, texts);
  else await writeFile(out, texts);
}

type Answer = { readonly chunks: Iterable<ExportChunk>; readonly span: Span };

async function write({ chunks, span }: Answer, { values, note }: Given): Promise<void> {
  const isReported = values['progress'] === true || process.stderr.isTTY === true;
  const far = { atMs: span.fromMs };
  const show = () => {
    const pct = Math.floor((100 * (far.atMs - span.fromMs)) / (span.toMs - span.fromMs));
    note(`exported: ${pct} % (up to ${new Date(far.atMs).toISOString()})`);
  };
  const stopReporting = isReported ? systemTimers.every(REPORT_EVERY_MS, show) : () => undefined;
  const out = textOption(values, 'out');
  const isPacked = values['gzip'] === true || out?.endsWith('.gz') === true;
  const plain = Readable.from(textsOf(chunks, far));
  const texts = isPacked ? plain.pipe(createGzip()) : plain;
  plain.once('error', (cause) => texts.destroy(cause));
  try {
    await writeOut(texts, out);
    if (isReported) show();
  } finally {
    stopReporting();
  }
}

async function* textsOf(
  chunks: Iterable<ExportChunk>,
  far: { atMs: number },
): AsyncGenerator<string | Uint8Array> {
  for (const { text, atMs } of chunks) {
    far.atMs = atMs;
    if (text.length > 0) yield text;
    await new Promise((resolve) => setImmediate(resolve));
  }
}

/** A reader that has seen enough closes the pipe: that is no failure. */
async function writeTo(out: Writable, texts: Readable): Promise<void> {
  try {
    for await (const text of texts) if (!out.write(text)) await once(out, 'drain');
  } catch (cause) {
    if (!(cause instanceof Error && 'code' in cause && cause.code === 'EPIPE')) throw cause;
  }
}

/** The file stands under its name once it is whole. */
async function writeFile(path: string, texts: Readable): Promise<void> {
  const begun = `${path}.part`;
  try {
    await pipeline(texts, createWriteStream(begun));
    renameSync(begun, path);
  } catch (cause) {
    rmSync(begun, { force: true });
    const why = cause instanceof Error ? cause.message : String(cause);
    throw new Fault({ code: 'bad-request', message: `--out "${path}" cannot be written: ${why}.`, cause });
  }
}
