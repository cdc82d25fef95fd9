import { invariant } from '../../../../shared/faults.ts';
import { type BatchLine, batchLineSchema } from '../../../../shared/model/cuttings/batch-line.ts';
import { preparationLineSchema } from '../../../../shared/model/cuttings/preparation-line.ts';
import { newSheetSchema } from '../../../../shared/model/cuttings/sheet.ts';
import { readItem } from '../../../../shared/model/read-item.ts';
import type { CuttingsImport, RefusedItem } from '../../../../shared/wire/cuttings/import.ts';
import { type BatchIdentity, batchLike } from '../../../domain/exchange/identity.ts';
import type { ImportedCuttings, SheetService } from '../../../ports.ts';
import { commit } from '../../services/orders.ts';
import { type EntryContext, isoOf, requireBatch } from '../context.ts';
import { addBatch, changeBatch } from '../edit.ts';
import { addCount, addStage, moveBatch, setLeading } from '../entries.ts';
import { setWeaning } from '../weaning.ts';
import { committed } from './dry-run.ts';
import { enterPreparation } from './enter-preparation.ts';
import { asRefusal, refusal } from './refusal.ts';

export type ImportContext = EntryContext & {
  readonly sheets: Pick<SheetService, 'add' | 'list' | 'readAgain'>;
};

/**
 * Takes batches, plans and own sheets from what their export writes. Each is entered by the orders that enter it by hand,
 * all of it or nothing: one that is refused says why and leaves the others as they are. Sheets come first, so that
 * batches may be on them; then batches, so that plans may have become them.
 */
export function importCuttings(items: ImportedCuttings, context: ImportContext): CuttingsImport {
  if (!items.dryRun) return taken(items, context);
  let answer: CuttingsImport | null = null;
  try {
    committed(true, context, () => {
      answer = taken(items, context);
    });
  } finally {
    context.sheets.readAgain();
  }
  invariant(answer, 'a dry run has an answer');
  return answer;
}

function taken(
  { batches, preparations, sheets, dryRun }: ImportedCuttings,
  context: ImportContext,
): CuttingsImport {
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
  const here = (sheetId: string) => newIds.get(sheetId) ?? sheetId;
  const keptSheets = each('sheet', sheets, (item) =>
    enterSheet(item, context, (id) => void newIds.set(idOf(item), id)),
  );
  const keptBatches = each('batch', batches, (item) => {
    const line = readItem(batchLineSchema, item);
    const onNew = line.sheets.map((sheet) => ({ ...sheet, sheetId: here(sheet.sheetId) }));
    notes.push(...enterBatch({ ...line, sheets: onNew }, context));
  });
  const keptPlans = each('preparation', preparations, (item) => {
    const line = readItem(preparationLineSchema, item);
    const sheetId = typeof line.sheetId === 'string' ? here(line.sheetId) : line.sheetId;
    notes.push(...enterPreparation({ ...line, sheetId }, context));
  });
  return { dryRun, batches: keptBatches, preparations: keptPlans, sheets: keptSheets, refused, notes };
}

/** Why an item is refused; null where it is kept. @throws Fault `store-failed` */
function refusalOf(enter: () => void, context: ImportContext): string | null {
  try {
    commit(context, enter);
    return null;
  } catch (cause) {
    context.sheets.readAgain();
    return asRefusal(cause);
  }
}

/** An own sheet gets an id of its own here. @param keptAs gets that id, that of the same one too @throws Fault */
function enterSheet(item: unknown, { sheets }: ImportContext, keptAs: (id: string) => void): void {
  const content = readItem(newSheetSchema, item);
  const same = sheets
    .list()
    .find(({ id: _id, version: _version, own, ...known }) => own && isSame(known, content));
  keptAs(same?.id ?? sheets.add(content).id);
  if (same) throw refusal(`It is there already, as ${same.id}.`);
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
    leads = [],
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
  for (const { placeId, from } of leads) setLeading(placeId, { batchId: id, fromMs: from }, context);
  if (closedAt !== null) changeBatch(id, { state: 'closed', closedMs: closedAt, details: {} }, context);
  return versionNotes(id, line, context);
}

/** @throws Fault `bad-request` where the same batch is there already */
function requireNew(identity: BatchIdentity, { store }: ImportContext): void {
  const same = batchLike(store.batches.all(), identity);
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
