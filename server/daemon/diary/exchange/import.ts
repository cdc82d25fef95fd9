import type { EntryLine } from '../../../../shared/model/cuttings/entry-line.ts';
import { exportedKind } from '../../../../shared/model/cuttings/exported.ts';
import type { CuttingsFileImport } from '../../../../shared/wire/cuttings/import.ts';
import type { CuttingsExchange } from '../../../ports.ts';
import { type ImportContext, importCuttings } from '../../batches/exchange/import.ts';
import { createTextDecoder } from '../../services/exchange/text.ts';
import { createDiaryCsv } from './diary-csv.ts';
import type { EntryImportContext } from './enter-entry.ts';
import { createJsonLines, type FileItem } from './json-lines.ts';
import { takeEntries } from './take-entries.ts';

export type CuttingsContext = ImportContext & Pick<EntryImportContext, 'photos'>;
type Refused = CuttingsFileImport['refused'][number];
type Order = Parameters<CuttingsExchange['importFrom']>[1];

/** Most refused items that are listed, and items other than entries that are entered at once. */
const MOST_REFUSED = 200;
const ITEMS_AT_ONCE = 5_000;

/**
 * Takes what an export of cuttings wrote, line after line: sheets, batches and plans that stand before an entry of the diary
 * are entered before it. An item is entered whole or refused with its reason; others stay as they are.
 */
export async function importCuttingsFile(
  file: AsyncIterable<Uint8Array>,
  order: Order,
  context: CuttingsContext,
): Promise<CuttingsFileImport> {
  const taking = createTaking(order, context);
  const decode = createTextDecoder();
  const reader = order.as === 'csv' ? createDiaryCsv() : createJsonLines();
  for await (const piece of file) for (const item of reader.push(decode.push(piece))) await taking.take(item);
  for (const item of [...reader.push(decode.end()), ...reader.end()]) await taking.take(item);
  return taking.end();
}

function createTaking({ dryRun }: Order, context: CuttingsContext) {
  const refused: Refused[] = [];
  let refusedInAll = 0;
  const refuse = (one: Refused) => {
    refusedInAll += 1;
    if (refused.length < MOST_REFUSED) refused.push(one);
  };
  const items = takeItems({ dryRun, refuse }, context);
  const { isComing } = items;
  const refuseEntry = (nth: number, reason: string) => refuse({ what: 'entry', nth, name: null, reason });
  const entries = takeEntries({ dryRun, refuse: refuseEntry }, { ...context, isComing });
  return {
    async take(one: FileItem): Promise<void> {
      if ('fault' in one) {
        entries.enterWaiting();
        return refuse({ what: 'line', nth: one.line, name: null, reason: one.fault });
      }
      const kind = exportedKind(one.item);
      if (kind !== 'entry') {
        entries.enterWaiting();
        return items.take(kind, one.item);
      }
      items.enterWaiting();
      await entries.take(one.item);
    },
    end(): CuttingsFileImport {
      items.enterWaiting();
      entries.enterWaiting();
      const { missing, ...kept } = entries.sums();
      const { notes, ...sums } = items.sums();
      return { dryRun, ...sums, ...kept, refused, refusedInAll, notes: [...notes, ...missingWords(missing)] };
    },
  };
}

type Options = { readonly dryRun: boolean; readonly refuse: (one: Refused) => void };

/** Enters sheets, batches and plans, all that stand together in one go. */
function takeItems({ dryRun, refuse }: Options, context: ImportContext) {
  const sums = { batches: 0, preparations: 0, sheets: 0, notes: [] as string[] };
  const taken = { batch: 0, preparation: 0, sheet: 0 };
  const coming = new Set<string>();
  let waiting = noItems();
  const enterWaiting = () => {
    const { batch: batches, preparation: preparations, sheet: sheets } = waiting;
    if (batches.length + preparations.length + sheets.length === 0) return;
    const answer = importCuttings({ batches, preparations, sheets, dryRun }, context);
    if (dryRun) for (const batch of batches) coming.add(nameOfBatch(batch));
    sums.batches += answer.batches;
    sums.preparations += answer.preparations;
    sums.sheets += answer.sheets;
    sums.notes.push(...answer.notes);
    for (const one of answer.refused) refuse({ ...one, nth: one.nth + taken[one.what] });
    for (const kind of KINDS) taken[kind] += waiting[kind].length;
    waiting = noItems();
  };
  return {
    sums: () => sums,
    enterWaiting,
    take(kind: (typeof KINDS)[number], item: unknown): void {
      waiting[kind].push(item);
      if (waiting[kind].length >= ITEMS_AT_ONCE) enterWaiting();
    },
    isComing: ({ batchCrop, batchStuckAt, batchPlace }: EntryLine) =>
      coming.has(JSON.stringify([batchCrop, batchStuckAt, batchPlace])),
  };
}

const KINDS = ['batch', 'preparation', 'sheet'] as const;

function noItems(): Record<(typeof KINDS)[number], unknown[]> {
  return { batch: [], preparation: [], sheet: [] };
}

/** What entries name a batch by, whatever else is wrong with its line: then the line itself is refused. */
function nameOfBatch(item: unknown): string {
  const { crop, stuckAt, stays } = item as { readonly [field: string]: unknown };
  const [first] = Array.isArray(stays) ? (stays as { readonly placeId?: unknown }[]) : [];
  return JSON.stringify([crop, Date.parse(String(stuckAt)), first?.placeId]);
}

function missingWords(missing: number): string[] {
  if (missing === 0) return [];
  const photos = missing === 1 ? '1 photo is' : `${missing} photos are`;
  return [
    `${photos} named and not in the file: the entries come without. An export with photos=true carries them.`,
  ];
}
