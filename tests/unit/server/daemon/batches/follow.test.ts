import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import type { KeptBatch } from '../../../../../server/domain/batches/batch.ts';
import { sheetRegistry } from '../../../../../server/domain/sheets/registry.ts';
import { Fault } from '../../../../../shared/faults.ts';
import { stageOf } from '../../../../../shared/model/cuttings/sheet.ts';
import { type Deed, deeds, heldBy, LAST_MS, PLACES } from '../../support/batch-model.ts';
import { clockByHand } from '../../support/hand.ts';
import {
  airRecord,
  databaseFile,
  type House,
  START_MS,
  startHouse,
  TARGET_SHEET_FILE,
} from '../../support/house.ts';
import { TARGETS } from '../../support/targets.ts';

const HOUR_MS = 3_600_000;
const at = (hour: number) => START_MS - (LAST_MS - hour) * HOUR_MS;
const poinsettia = (stage: 'sticking' | 'callusing' | 'rooting' | 'toning') => {
  const sheet = sheetRegistry([]).sheetOf('poinsettia');
  if (!sheet) throw new Error('the poinsettia is not among the sheets');
  return stageOf(sheet, stage).targets;
};

/** A house with two benches that reported each half hour of the last twelve. */
async function twoBenches(file = databaseFile()) {
  const hand = clockByHand(START_MS);
  const house = startHouse({ hand, store: openStore({ file, nowMs: START_MS }) });
  for (const device of PLACES)
    for (let ageS = LAST_MS * 3_600; ageS >= 0; ageS -= 900)
      await house.report(
        [
          airRecord(20 + ((ageS / 900) % 12), { ageS }),
          { n: 'root/temperature', u: 'Cel', v: 19 + ((ageS / 900) % 9), t: -ageS },
        ],
        device,
      );
  return { house, file, hand };
}

const order = (placeId: string, hour: number) => ({
  placeId,
  crop: 'Poinsettia',
  sheetId: 'poinsettia',
  stuckMs: at(hour),
  count: 100,
  details: {},
});

describe('the bands of a place', () => {
  test('are those of the first open batch from when it was stuck, 6 h ago, and of its stage from 2 h ago', async () => {
    const { house } = await twoBenches();
    const { batches, queries, world } = house.daemon;
    const first = batches.add(order('bench-1', 6));
    const second = batches.add(order('bench-1', 8));
    expect([first.leading, second.leading]).toEqual([true, false]);
    expect(queries.targets('bench-1')).toEqual(poinsettia('sticking'));
    batches.addStage(first.id, { stage: 'callusing', fromMs: at(10) });
    batches.addStage(second.id, { stage: 'toning', fromMs: at(11) });
    expect(queries.targets('bench-1')).toEqual(poinsettia('callusing'));
    expect([at(5), at(6), at(9), at(10)].map((atMs) => world.targets('bench-1', atMs))).toEqual([
      TARGET_SHEET_FILE.targets,
      poinsettia('sticking'),
      poinsettia('sticking'),
      poinsettia('callusing'),
    ]);
    expect(queries.targets('bench-2')).toEqual(TARGET_SHEET_FILE.targets);
    house.daemon.stop();
  });

  test('set by hand hold until the next stage; null keeps what holds; another leader brings its own', async () => {
    const { house } = await twoBenches();
    const { batches, queries, orders } = house.daemon;
    const first = batches.add(order('bench-1', 2));
    const second = batches.add(order('bench-1', 3));
    batches.addStage(second.id, { stage: 'toning', fromMs: at(4) });
    orders.setTargets('bench-1', { targets: TARGETS, fromMs: null });
    expect(queries.targets('bench-1')).toEqual(TARGETS);
    batches.setLeading('bench-1', { batchId: null, fromMs: null });
    batches.addStage(first.id, { stage: 'callusing', fromMs: at(12) });
    expect(queries.targets('bench-1')).toEqual(TARGETS);
    expect(batches.leading('bench-1')).toEqual({ placeId: 'bench-1', batchId: null, chosen: true });
    batches.setLeading('bench-1', { batchId: second.id, fromMs: null });
    expect(queries.targets('bench-1')).toEqual(poinsettia('toning'));
    batches.change(second.id, { state: 'closed', details: {} });
    expect(queries.targets('bench-1')).toEqual(poinsettia('callusing'));
    expect(batches.get(first.id).leading).toBe(true);
    house.daemon.stop();
  });

  test('are what they were once a batch is deleted, and its own again once that is undone', async () => {
    const { house } = await twoBenches();
    const { batches, queries } = house.daemon;
    const span = { fromMs: at(0), toMs: at(12) };
    const before = queries.exposures('bench-1', span);
    const { id } = batches.add(order('bench-1', 0));
    const during = queries.exposures('bench-1', span);
    expect(during.air).not.toEqual(before.air);
    batches.remove(id);
    expect(queries.exposures('bench-1', span)).toEqual(before);
    expect(() => batches.get(id)).toThrow(Fault);
    expect(batches.list({ placeId: null, state: 'deleted' }).map((batch) => batch.id)).toEqual([id]);
    batches.restore(id);
    expect(queries.exposures('bench-1', span)).toEqual(during);
    house.daemon.stop();
  });

  test('stay those of the batch when the questions about a new place are answered', async () => {
    const { house } = await twoBenches();
    const { batches, queries, orders } = house.daemon;
    batches.add(order('bench-1', 2));
    orders.setUp('bench-1', { kind: 'bench', mat: true, roots: 'conifer' });
    expect(queries.targets('bench-1')).toEqual(poinsettia('sticking'));
    expect(queries.place('bench-1').settings).toMatchObject({ questionsOpen: false, mat: true });
    orders.setUp('bench-2', { kind: 'bench', mat: true, roots: 'conifer' });
    expect(queries.targets('bench-2')).not.toEqual(TARGET_SHEET_FILE.targets);
    house.daemon.stop();
  });

  test('before what was counted for good ends stay as they were', async () => {
    const { house } = await twoBenches();
    const { batches, world } = house.daemon;
    house.store.transaction(() =>
      house.store.horizon.set({ countedHour: at(6) / HOUR_MS - 49, droppedHour: 0 }),
    );
    batches.add(order('bench-1', 2));
    expect(world.targets('bench-1', at(5))).toEqual(TARGET_SHEET_FILE.targets);
    expect(world.targets('bench-1', at(6))).toEqual(poinsettia('sticking'));
    house.daemon.stop();
  });
});

type Batches = House['daemon']['batches'];

/** Gives one order of a story to the daemon; what it refuses changes nothing. */
function given(deed: Deed, { daemon }: House, handCeilingC: number): void {
  const { batches, orders } = daemon;
  const nth = 'batch' in deed ? deed.batch : null;
  const id = nth === null ? null : String(nth + 1);
  if (deed.kind === 'hand') {
    const targets = { ...TARGETS, air: { ...TARGETS.air, ceilingC: handCeilingC } };
    orders.setTargets('bench-1', { targets, fromMs: at(deed.fromMs) });
  }
  if (deed.kind === 'stick') batches.add(order(deed.place, deed.fromMs));
  if (deed.kind === 'lead') batches.setLeading('bench-1', { batchId: id, fromMs: at(deed.fromMs) });
  if (id !== null) ofBatch(deed, batches, id);
}

function ofBatch(deed: Deed, batches: Batches, id: string): void {
  if (deed.kind === 'stage') batches.addStage(id, { stage: deed.stage, fromMs: at(deed.fromMs) });
  if (deed.kind === 'unstage') batches.removeStage(id, deed.nth + 1);
  if (deed.kind === 'move') batches.move(id, { placeId: deed.place, fromMs: at(deed.fromMs) });
  if (deed.kind === 'unmove') batches.removeMove(id, deed.nth);
  if (deed.kind === 'close') batches.change(id, { state: 'closed', closedMs: at(deed.fromMs), details: {} });
  if (deed.kind === 'open') batches.change(id, { state: 'open', details: {} });
  if (deed.kind === 'delete') batches.remove(id);
  if (deed.kind === 'restore') batches.restore(id);
  if (deed.kind === 'sheet')
    batches.change(id, {
      sheetId: deed.sheet === 'two' ? 'poinsettia' : 'herbaceous-mist-mat',
      sheetFromMs: at(deed.fromMs),
      details: {},
    });
}

function attempted(work: () => void): void {
  try {
    work();
  } catch (cause) {
    if (!(cause instanceof Fault && ['bad-request', 'not-found'].includes(cause.code))) throw cause;
  }
}

/** What is kept, with hours in place of times. */
function inHours(house: House, placeId: string) {
  const hourOf = (ms: number) => Math.round((ms - at(0)) / HOUR_MS);
  const from = <T extends { readonly fromMs: number }>(entry: T): T => ({
    ...entry,
    fromMs: hourOf(entry.fromMs),
  });
  const batch = (kept: KeptBatch): KeptBatch => ({
    ...kept,
    body: { ...kept.body, sheets: kept.body.sheets.map(from) },
    stuckMs: hourOf(kept.stuckMs),
    closed: kept.closed && { ...kept.closed, atMs: hourOf(kept.closed.atMs) },
    stays: kept.stays.map(from),
    stages: kept.stages.map(from),
  });
  const hand = house.store.places.handTargets(placeId);
  return {
    placeId,
    batches: house.store.batches.atPlace(placeId).map(batch),
    choices: house.store.batches.choices(placeId).map(from),
    hand: hand.map((entry) => ({ ...entry, fromMs: Math.max(0, hourOf(entry.fromMs)) })),
    sheetOf: (sheetId: string, version: number) => sheetRegistry([]).sheetOf(sheetId, version),
  };
}

test('25 stories of orders: bands and exposures are those of the model, and the same after a restart', async () => {
  await fc.assert(
    fc.asyncProperty(deeds, async (story) => {
      const { house, file, hand } = await twoBenches();
      const span = { fromMs: at(0), toMs: at(LAST_MS) };
      for (const [i, deed] of story.entries()) {
        attempted(() => given(deed, house, 27 + i / 10));
        // what is settled in between must be forgotten where it changes
        if (i % 4 === 0) house.daemon.queries.exposures('bench-1', span);
      }
      const counted = PLACES.map((placeId) => house.daemon.queries.exposures(placeId, span));
      const held = (of: House) =>
        PLACES.map((placeId) =>
          Array.from({ length: LAST_MS + 1 }, (_, hour) => of.daemon.world.targets(placeId, at(hour))),
        );
      expect(held(house)).toEqual(PLACES.map((placeId) => heldBy(inHours(house, placeId))));
      house.daemon.stop();
      house.store.close();
      const again = startHouse({ hand, store: openStore({ file, nowMs: START_MS }) });
      expect(held(again)).toEqual(held(house));
      again.store.transaction(() => again.store.settled.forgetAll());
      expect(PLACES.map((placeId) => again.daemon.queries.exposures(placeId, span))).toEqual(counted);
      again.daemon.stop();
      again.store.close();
    }),
    { numRuns: 25 },
  );
}, 240_000);
