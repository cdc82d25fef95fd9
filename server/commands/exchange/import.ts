import { createReadStream, statSync } from 'node:fs';
import { Fault } from '../../../shared/faults.ts';
import { importMappingSchema, REPEATED_HOURS } from '../../../shared/model/import-mapping.ts';
import { EXPORT_FORMS, type ImportReport } from '../../../shared/wire/exchange.ts';
import { systemTimers } from '../../adapters/system/clock.ts';
import { holdsBytes } from '../../adapters/system/files/aside.ts';
import { readNamedFile } from '../../adapters/system/files/files.ts';
import type { Exchange, ImportOrder, Store } from '../../ports.ts';
import type { Command, Given } from '../command.ts';
import { chosenOption, requiredOption, textOption } from '../options.ts';
import { formOf } from './form.ts';
import { importCuttings } from './import-cuttings.ts';
import { reportLines } from './import-words.ts';
import { beside, locked } from './opened.ts';
import { exchangeOver } from './record-exchange.ts';

const REPORT_EVERY_MS = 1_000;
/** Where the running daemon takes the same file. */
const ADDRESS = '/api/v1/import?device=NAME&dryRun=false';

/** Imports a file of readings: first a dry run over all of it, then, with --store, the readings themselves. */
export const importReadings: Command = {
  summary:
    'read a file of readings (CSV, NDJSON, SenML or Parquet), or of cuttings; a dry run unless --store is given',
  usage:
    'FILE --device NAME [--of DEVICE] [--store] [--as csv|ndjson|senml|parquet] [--map MAPPING | --map-file FILE]\n' +
    '  [--zone ZONE] [--repeated-hour first|second|split-by-order] [--json] [--progress] [--config FILE]\n' +
    'FILE --what cuttings [--store] [--json] [--config FILE]\n\n' +
    '--device is the name under which the readings are kept, --of the device of the file that is meant, where a\n' +
    'file holds several. A file may be compressed (gzip).\n' +
    '"cuttings": what export wrote of batches, plans, sheets and the diary (NDJSON, of CSV the diary alone).\n' +
    'MAPPING: "Time=time local; Temp=air/temperature °F; RH=air/humidity %RH"; a dry run proposes one.\n' +
    'Time formats: rfc3339, local, local-dmy, local-mdy (with --zone), epoch-s, epoch-ms.',
  options: {
    device: { type: 'string' },
    of: { type: 'string' },
    what: { type: 'string' },
    map: { type: 'string' },
    'map-file': { type: 'string' },
    zone: { type: 'string' },
    'repeated-hour': { type: 'string' },
    as: { type: 'string' },
    store: { type: 'boolean' },
    'dry-run': { type: 'boolean' },
    json: { type: 'boolean' },
    progress: { type: 'boolean' },
  },
  async run(given) {
    const { values, settings } = given;
    const file = fileOf(given);
    const what = chosenOption(values, 'what', { known: ['readings', 'cuttings'], otherwise: null });
    if (what === 'cuttings') return importCuttings(file, given);
    const order = orderOf(given, file);
    const isStored = values['store'] === true;
    if (isStored && values['dry-run'] === true)
      throw badRequest('--store and --dry-run are the opposite of each other.');
    const outcome = isStored
      ? await locked(settings, ADDRESS, (store) => importFile({ store, file, order, isStored }, given))
      : await beside(settings, (store) => importFile({ store, file, order, isStored }, given));
    return { code: outcome };
  },
};

type Import = {
  readonly store: Store;
  readonly file: string;
  readonly order: ImportOrder;
  readonly isStored: boolean;
};

/** @returns the exit code: 0 all well, 1 there were bad rows, 2 something must be said first */
async function importFile({ store, file, order, isStored }: Import, given: Given): Promise<number> {
  const { settings, values, say } = given;
  const exchange = exchangeOver(store, settings);
  const show = (report: ImportReport) => {
    if (values['json']) say(JSON.stringify(report));
    else for (const line of reportLines(report, { file })) say(line);
  };
  const dry = await readThrough({ exchange, file, order: { ...order, dryRun: true } }, given);
  const isOpen = dry.undecided.length > 0 || (isStored && isAsked(dry));
  if (isOpen || !isStored) {
    show(dry);
    if (isOpen) return 2;
    if (!values['json']) say('This was a dry run: nothing was stored. Add --store to store it.');
    return dry.bad.count > 0 || isAsked(dry) ? 1 : 0;
  }
  const report = await readThrough({ exchange, file, order: { ...order, dryRun: false } }, given);
  show(report);
  return report.bad.count > 0 ? 1 : 0;
}

function isAsked({ repeatedHour }: ImportReport): boolean {
  return repeatedHour.rows > 0 && repeatedHour.taken === null;
}

type Pass = { readonly exchange: Exchange; readonly file: string; readonly order: ImportOrder };

async function readThrough({ exchange, file, order }: Pass, { values, note }: Given): Promise<ImportReport> {
  const isReported = values['progress'] === true || process.stderr.isTTY === true;
  const show = () => {
    const far = exchange.importProgress();
    if (!far) return;
    const pct = far.totalBytes ? Math.min(100, Math.floor((100 * far.bytes) / far.totalBytes)) : 100;
    note(`${order.dryRun ? 'checked' : 'stored'}: ${pct} % (${far.rows} rows, ${far.stored} readings)`);
  };
  const stopReporting = isReported ? systemTimers.every(REPORT_EVERY_MS, show) : () => undefined;
  try {
    const report = await exchange.importFrom(createReadStream(file), order);
    if (isReported) show();
    return report;
  } finally {
    stopReporting();
  }
}

function fileOf({ words }: Given): string {
  const [file] = words;
  if (file === undefined || words.length > 1)
    throw badRequest('Name one file: strikewell import FILE --device NAME.');
  if (!holdsBytes(file)) throw badRequest(`There is no file "${file}", or it is empty.`);
  return file;
}

function orderOf({ values }: Given, file: string): ImportOrder {
  return {
    device: requiredOption(
      values,
      'device',
      'the name under which the readings are kept, 1 to 64 of A-Z a-z 0-9 - _ .',
    ),
    of: textOption(values, 'of'),
    as: chosenOption(values, 'as', { known: EXPORT_FORMS, otherwise: null }) ?? formOf(file) ?? 'csv',
    dryRun: true,
    mapping: mappingOf(values),
    zone: textOption(values, 'zone'),
    repeatedHour: chosenOption(values, 'repeated-hour', { known: REPEATED_HOURS, otherwise: null }),
    totalBytes: statSync(file).size,
  };
}

function mappingOf(values: Given['values']): ImportOrder['mapping'] {
  const [text, path] = [textOption(values, 'map'), textOption(values, 'map-file')];
  if (text !== null && path !== null) throw badRequest('Give --map or --map-file, not both.');
  if (path === null) return text;
  const content = readNamedFile({ key: '--map-file', path }).toString('utf8');
  if (!content.trimStart().startsWith('{')) return content.trim();
  try {
    return importMappingSchema.parse(JSON.parse(content));
  } catch (cause) {
    const why = cause instanceof Error ? cause.message : String(cause);
    throw new Fault({ code: 'bad-request', message: `--map-file "${path}" is no mapping: ${why}.`, cause });
  }
}

function badRequest(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
