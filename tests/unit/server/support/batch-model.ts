import fc from 'fast-check';
import type { KeptBatch } from '../../../../server/domain/batches/batch.ts';
import type { TimelineQuestion } from '../../../../server/domain/batches/timeline.ts';
import { type Sheet, STAGE_IDS, STAGES, type StageId } from '../../../../shared/model/cuttings/sheet.ts';
import type { Targets } from '../../../../shared/model/targets.ts';
import { TARGETS } from './targets.ts';

/** One order about the batches of two places, as somebody gives it; times are whole numbers from 0. */
export type Deed =
  | { readonly kind: 'hand'; readonly fromMs: number }
  | { readonly kind: 'stick'; readonly place: string; readonly fromMs: number }
  | {
      readonly kind: 'stage';
      readonly batch: number;
      readonly stage: StageId;
      readonly fromMs: number;
    }
  | { readonly kind: 'unstage'; readonly batch: number; readonly nth: number }
  | { readonly kind: 'move'; readonly batch: number; readonly place: string; readonly fromMs: number }
  | { readonly kind: 'unmove'; readonly batch: number; readonly nth: number }
  | { readonly kind: 'close'; readonly batch: number; readonly fromMs: number }
  | { readonly kind: 'open' | 'delete' | 'restore'; readonly batch: number }
  | { readonly kind: 'sheet'; readonly batch: number; readonly sheet: string; readonly fromMs: number }
  | { readonly kind: 'lead'; readonly batch: number | null; readonly fromMs: number };

/** The last instant of a story. */
export const LAST_MS = 12;
export const PLACES = ['bench-1', 'bench-2'] as const;
export const SHEETS = ['one', 'two', 'gone'] as const;

const fromMs = fc.integer({ min: 0, max: LAST_MS });
const batch = fc.nat({ max: 3 });
const place = fc.constantFrom(...PLACES);
const nth = fc.integer({ min: 1, max: 3 });
const kind = <const K extends string>(name: K) => fc.constant(name);

const deed: fc.Arbitrary<Deed> = fc.oneof(
  { weight: 3, arbitrary: fc.record({ kind: kind('stick'), place, fromMs }) },
  { weight: 3, arbitrary: fc.record({ kind: kind('hand'), fromMs }) },
  {
    weight: 4,
    arbitrary: fc.record({ kind: kind('stage'), batch, stage: fc.constantFrom(...STAGE_IDS), fromMs }),
  },
  { weight: 2, arbitrary: fc.record({ kind: kind('move'), batch, place, fromMs }) },
  { weight: 2, arbitrary: fc.record({ kind: kind('lead'), batch: fc.option(batch), fromMs }) },
  fc.record({ kind: kind('unstage'), batch, nth }),
  fc.record({ kind: kind('unmove'), batch, nth }),
  fc.record({ kind: kind('close'), batch, fromMs }),
  fc.record({ kind: fc.constantFrom('open' as const, 'delete' as const, 'restore' as const), batch }),
  fc.record({ kind: kind('sheet'), batch, sheet: fc.constantFrom(...SHEETS), fromMs }),
);
/** What people ordered, one after the other. */
export const deeds = fc.array(deed, { minLength: 1, maxLength: 14 });

/** Targets that can be told apart by their ceiling, °C. */
export const withCeiling = (ceilingC: number): Targets => ({ ...TARGETS, air: { ...TARGETS.air, ceilingC } });

/** A sheet whose four stages have ceilings of their own. */
export function sheetNamed(id: string, ceilingC: number): Sheet {
  return {
    id,
    version: 1,
    name: id,
    own: true,
    crop: 'Coleus',
    cuttingType: 'herbaceous',
    placeKinds: ['bench'],
    bottomHeat: true,
    stages: STAGE_IDS.map((stage, i) => ({
      id: stage,
      name: STAGES[stage],
      days: { low: 5, high: 7 },
      targets: withCeiling(ceilingC + i),
    })),
    sources: {},
  };
}

const KNOWN = new Map([
  ['one', sheetNamed('one', 30)],
  ['two', sheetNamed('two', 40)],
]);
export const sheetOf: TimelineQuestion['sheetOf'] = (id) => KNOWN.get(id) ?? null;

type Changing = { -readonly [K in keyof KeptBatch]: KeptBatch[K] };

/** What is kept after some orders, by lists alone; an order that fits nothing is passed over. */
export function keptAfter(story: readonly Deed[], placeId: string): TimelineQuestion {
  const batches: Changing[] = [];
  const choices: { batchId: number | null; fromMs: number; entered: number }[] = [];
  const hand = [{ fromMs: 0, enteredMs: 0, entered: 0, targets: withCeiling(20) }];
  for (const [i, order] of story.entries()) {
    const entered = i + 1;
    if (order.kind === 'hand')
      hand.push({ ...order, enteredMs: i, entered, targets: withCeiling(20 + entered / 100) });
    else if (order.kind === 'stick') batches.push(stuck(batches.length + 1, order, entered));
    else if (order.kind === 'lead') {
      const batchId = order.batch === null ? null : order.batch + 1;
      choices.push({ batchId, fromMs: order.fromMs, entered });
    } else {
      const found = batches[order.batch];
      if (found) applied(found, order, entered);
    }
  }
  return { placeId, batches, choices, hand, sheetOf };
}

function stuck(
  id: number,
  { place: placeId, fromMs: stuckMs }: Extract<Deed, { kind: 'stick' }>,
  entered: number,
): Changing {
  const first = { fromMs: stuckMs, entered };
  return {
    id,
    body: { sheets: [{ sheetId: 'one', version: 1, ...first }] } as unknown as KeptBatch['body'],
    stuckMs,
    closed: null,
    deletedMs: null,
    stays: [{ n: 0, placeId, ...first }],
    stages: [{ n: 1, stage: 'sticking', ...first }],
    counts: [],
  };
}

type OfBatch = Exclude<Deed, { kind: 'hand' | 'stick' | 'lead' }>;

function applied(batch: Changing, order: OfBatch, entered: number): void {
  const put = <T extends { readonly fromMs: number }>(all: readonly T[], entry: T): T[] =>
    [...all.filter((one) => one.fromMs !== entry.fromMs), entry].sort((a, b) => a.fromMs - b.fromMs);
  if (order.kind === 'open') batch.closed = null;
  if (order.kind === 'delete') batch.deletedMs = 1;
  if (order.kind === 'restore') batch.deletedMs = null;
  if (order.kind === 'unstage') batch.stages = batch.stages.filter((_, i) => i !== order.nth);
  if (order.kind === 'unmove') batch.stays = batch.stays.filter((_, i) => i !== order.nth);
  if (!('fromMs' in order) || order.fromMs <= batch.stuckMs) return;
  const at = { fromMs: order.fromMs, entered };
  if (order.kind === 'close') batch.closed = { atMs: order.fromMs, entered };
  if (order.kind === 'stage') batch.stages = put(batch.stages, { n: 9, stage: order.stage, ...at });
  if (order.kind === 'move') batch.stays = put(batch.stays, { n: 9, placeId: order.place, ...at });
  if (order.kind !== 'sheet') return;
  const before = batch.body.sheets.filter((sheet) => sheet.fromMs < order.fromMs);
  batch.body = { ...batch.body, sheets: [...before, { sheetId: order.sheet, version: 1, ...at }] };
}

/** The stay a batch is in at an instant, or null while it is not open. */
function stayAt(batch: KeptBatch, atMs: number) {
  if (batch.deletedMs !== null || (batch.closed !== null && atMs >= batch.closed.atMs)) return null;
  return batch.stays.findLast((stay) => stay.fromMs <= atMs) ?? null;
}

function presentAt({ batches, placeId }: TimelineQuestion, atMs: number) {
  return batches.flatMap((one) => {
    const stay = stayAt(one, atMs);
    return stay?.placeId === placeId ? [{ batch: one, stay }] : [];
  });
}

/** Who leads at one instant, looked up without any memory of the instants before. */
export function leaderAt(question: TimelineQuestion, atMs: number): KeptBatch | null {
  const present = presentAt(question, atMs);
  const first = present.toSorted((a, b) => a.stay.entered - b.stay.entered)[0]?.batch ?? null;
  const choice = question.choices.filter((one) => one.fromMs <= atMs).at(-1);
  if (!choice || first === null) return first;
  const since = Array.from({ length: atMs - choice.fromMs + 1 }, (_, i) => choice.fromMs + i);
  if (choice.batchId === null) return since.every((t) => presentAt(question, t).length > 0) ? null : first;
  const chosen = present.find((one) => one.batch.id === choice.batchId);
  if (!chosen) return first;
  // no earlier stay here since it was chosen that has ended
  const stays = since.map((t) => presentAt(question, t).find((one) => one.batch.id === choice.batchId)?.stay);
  const firstStay = stays.find((stay) => stay !== undefined);
  return firstStay === chosen.stay ? chosen.batch : first;
}

/** The ceiling at each instant of a story, one after the other; null before anything holds. */
export function ceilingsOf(question: TimelineQuestion): (number | null)[] {
  return heldBy(question).map((targets) => targets?.air.ceilingC ?? null);
}

/** The targets at each instant of a story, one after the other; null before anything holds. */
export function heldBy(question: TimelineQuestion): (Targets | null)[] {
  const { hand, batches, choices } = question;
  let held: Targets | null = null;
  let byHand = -1;
  let before = '';
  return Array.from({ length: LAST_MS + 1 }, (_, atMs) => {
    const leader = leaderAt(question, atMs);
    const stage = leader?.stages.findLast((one) => one.fromMs <= atMs)?.stage ?? 'sticking';
    const sheetId = leader?.body.sheets.findLast((one) => one.fromMs <= atMs)?.sheetId ?? '';
    const now = leader ? `${leader.id} ${stage} ${sheetId}` : '';
    const sheet = question.sheetOf(sheetId, 1);
    const entered = [
      ...choices.filter((one) => one.fromMs === atMs),
      ...batches
        .flatMap((one) => [...one.stays, ...one.stages, ...one.body.sheets])
        .filter((one) => one.fromMs === atMs),
      ...batches.flatMap(({ closed }) => (closed?.atMs === atMs ? [closed] : [])),
    ].map((one) => one.entered);
    const turned = leader !== null && now !== before && sheet !== null;
    before = now;
    if (turned) {
      held = sheet.stages.find(({ id }) => id === stage)?.targets ?? null;
      byHand = -1;
    }
    hand.forEach((edit, i) => {
      const counts = edit.fromMs === atMs && (!turned || edit.entered > Math.max(...entered));
      if (!counts || i < byHand) return;
      held = edit.targets;
      byHand = i;
    });
    return held;
  });
}
