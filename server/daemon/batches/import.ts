import { Fault, invariant } from '../../../shared/faults.ts';
import { type BatchLine, batchLineSchema } from '../../../shared/model/cuttings/batch-line.ts';
import { newSheetSchema, type Sheet } from '../../../shared/model/cuttings/sheet.ts';
import { readItem } from '../../../shared/model/read-item.ts';
import type { CuttingsImport, RefusedItem } from '../../../shared/wire/cuttings/import.ts';
import type { ImportedCuttings, SheetService } from '../../ports.ts';
import { commit } from '../services/orders.ts';
import { type BatchContext, isoOf, requireBatch } from './context.ts';
import { addBatch, changeBatch } from './edit.ts';
import { addCount, addStage, moveBatch } from './entries.ts';
import { setWeaning } from './weaning.ts';

type ImportContext = BatchContext & { readonly sheets: Pick<SheetService, 'add' | 'list' | 'readAgain'> };

/** Of a dry run all is kept, and taken back by this: so that it is checked by what keeps it. */
const TAKEN_BACK = new Fault({ code: 'bad-request', message: 'This was a dry run.' });

/**
 * Takes batches and own sheets from what their export writes. Each is entered by the orders that enter it by hand, all of it
 * or nothing: one that is refused says why and leaves the others as they are. Sheets come first, so that batches may
 * be on them.
 */
export function importCuttings(items: ImportedCuttings, context: ImportContext): CuttingsImport {
  if (!items.dryRun) return taken(items, context);
  let answer: CuttingsImport | null = null;
  try {
    commit(context, () => {
      answer = taken(items, context);
      throw TAKEN_BACK;
    });
  } catch (cause) {
    if (cause !== TAKEN_BACK) throw cause;
  } finally {
    context.sheets.readAgain();
  }
  invariant(answer, 'a dry run has an answer');
  return answer;
}

function taken({ batches, sheets, dryRun }: ImportedCuttings, context: ImportContext): CuttingsImport {
  const refused: RefusedItem[] = [];
  const notes: string[] = [];
  const newIds = new Map<string, string>();
  const each = (
    what: RefusedItem['what'],
    items: readonly unknown[],
    enter: (item: unknown) => void,
  ): number =>
    items.filter((item, i) => {
      const reason = refusalOf(() => enter(item), context);
      if (reason !== null) refused.push({ what, nth: i + 1, name: nameOf(item), reason });
      return reason === null;
    }).length;
  const keptSheets = each('sheet', sheets, (item) => {
    const { id } = enterSheet(item, context);
    newIds.set(idOf(item), id);
  });
  const keptBatches = each('batch', batches, (item) => {
    const line = readItem(batchLineSchema, item);
    const onNew = line.sheets.map((sheet) => ({
      ...sheet,
      sheetId: newIds.get(sheet.sheetId) ?? sheet.sheetId,
    }));
    notes.push(...enterBatch({ ...line, sheets: onNew }, context));
  });
  return { dryRun, batches: keptBatches, sheets: keptSheets, refused, notes };
}

/** Why an item is refused; null where it is kept. @throws Fault `store-failed` */
function refusalOf(enter: () => void, context: ImportContext): string | null {
  try {
    commit(context, enter);
    return null;
  } catch (cause) {
    context.sheets.readAgain();
    if (cause instanceof Fault && cause.code !== 'store-failed') return cause.message;
    throw cause;
  }
}

/** An own sheet gets an id of its own here. @throws Fault `bad-request` */
function enterSheet(item: unknown, { sheets }: ImportContext): Sheet {
  const content = readItem(newSheetSchema, item);
  const same = sheets
    .list()
    .find(({ id: _id, version: _version, own, ...known }) => own && isSame(known, content));
  if (same) throw refusal(`It is there already, as ${same.id}.`);
  return sheets.add(content);
}

function isSame(one: object, other: object): boolean {
  return sorted(one) === sorted(other);
}

/** As JSON, whatever the order of its fields. */
function sorted(of: unknown): string {
  return JSON.stringify(of, (_, value: unknown) =>
    typeof value === 'object' && value !== null && !Array.isArray(value)
      ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)))
      : value,
  );
}

function idOf(item: unknown): string {
  const { id } = item as { readonly id?: unknown };
  return typeof id === 'string' ? id : '';
}

/** Enters all of a batch. @returns what differs from its line @throws Fault `bad-request` */
function enterBatch(line: BatchLine, context: ImportContext): string[] {
  const {
    crop,
    count,
    stuckAt: stuckMs,
    sheets,
    stages,
    stays,
    counts = [],
    closedAt = null,
    weaning = null,
    ...given
  } = line;
  const { cutAt, boxOpenedAt, id: _id, ...details } = given;
  const [[stay, ...moves], [sheet, ...laterSheets]] = [stays, sheets];
  if (stay?.placeId == null) throw refusal('The place where it was stuck is not known.');
  requireNew({ crop, stuckMs, placeId: stay.placeId }, context);
  const id = String(
    addBatch(
      {
        placeId: stay.placeId,
        crop,
        count,
        sheetId: sheet?.sheetId ?? '',
        stuckMs,
        details: { ...details, cutAtMs: cutAt, boxOpenedAtMs: boxOpenedAt },
      },
      context,
    ),
  );
  for (const { sheetId, from } of laterSheets)
    changeBatch(id, { sheetId, sheetFromMs: from, details: {} }, context);
  for (const { placeId, from } of moves) {
    if (placeId === null) throw refusal('It stood at a place that was removed.');
    moveBatch(id, { placeId, fromMs: from }, context);
  }
  const [first, ...later] = stages;
  const entered = first?.stage === 'sticking' && first.from === stuckMs ? later : stages;
  for (const { stage, from } of entered) addStage(id, { stage, fromMs: from }, context);
  for (const { at, ...of } of counts) addCount(id, { atMs: at, count: of }, context);
  if (weaning !== null) {
    const { from: fromMs, ...plan } = weaning;
    setWeaning(id, { fromMs, ...plan }, context);
  }
  if (closedAt !== null) changeBatch(id, { state: 'closed', closedMs: closedAt, details: {} }, context);
  return versionNotes(id, line, context);
}

function refusal(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}

/** @throws Fault `bad-request` where the same batch is there already */
function requireNew(
  { crop, stuckMs, placeId }: { readonly crop: string; readonly stuckMs: number; readonly placeId: string },
  { store }: ImportContext,
): void {
  const same = store.batches
    .all()
    .find(
      (one) =>
        one.deletedMs === null &&
        one.body.crop === crop &&
        one.stuckMs === stuckMs &&
        one.stays[0]?.placeId === placeId,
    );
  if (same) throw refusal(`It is there already, as batch ${same.id}.`);
}

/** A batch is given the newest version of its sheet, as by hand. */
function versionNotes(id: string, { crop, stuckAt, sheets }: BatchLine, context: ImportContext): string[] {
  return requireBatch(id, context).body.sheets.flatMap(({ sheetId, version }, i) => {
    const before = sheets[i]?.version;
    if (before === undefined || before === version) return [];
    return [
      `${crop}, stuck ${isoOf(stuckAt)}: version ${version} of sheet ${sheetId} in place of ${before}.`,
    ];
  });
}

function nameOf(item: unknown): string | null {
  if (typeof item !== 'object' || item === null) return null;
  const { crop, name } = item as { readonly crop?: unknown; readonly name?: unknown };
  const of = name ?? crop;
  return typeof of === 'string' ? of.slice(0, 100) : null;
}
