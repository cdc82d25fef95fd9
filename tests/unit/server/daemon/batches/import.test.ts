import { describe, expect, test } from 'vitest';
import { batchNdjson } from '../../../../../server/domain/exchange/write/batches-out.ts';
import { airRecord, START_MS, startHouse } from '../../support/house.ts';

const HOUR_MS = 3_600_000;
const at = (hours: number) => START_MS + hours * HOUR_MS;

/** A house with two benches, of which the first has a batch with all that can be entered of one. */
async function withABatch() {
  const house = startHouse();
  for (const device of ['bench-1', 'bench-2']) await house.report([airRecord(22)], device);
  const { batches } = house.daemon;
  const { id } = batches.add({
    placeId: 'bench-1',
    crop: 'Coleus',
    sheetId: 'poinsettia',
    stuckMs: at(-20),
    count: 50,
    details: { cultivar: 'Lime', note: '=1+1', cutAtMs: at(-21) },
  });
  batches.addStage(id, { stage: 'callusing', fromMs: at(-15) });
  batches.move(id, { placeId: 'bench-2', fromMs: at(-10) });
  batches.change(id, { sheetId: 'geranium', sheetFromMs: at(-8), details: {} });
  batches.addCount(id, {
    atMs: at(-6),
    count: {
      looked: 20,
      rooted: 5,
      lost: [{ cause: 'rot', n: 2 }],
      potted: 4,
      grades: [{ grade: 'A', n: 3 }],
    },
  });
  batches.setWeaning(id, { fromMs: at(-4), gateShare: 0.8, steps: [{ days: 3, lowKpa: 0.4, highKpa: 0.7 }] });
  batches.setLeading('bench-2', { batchId: id, fromMs: at(-3) });
  batches.change(id, { state: 'closed', closedMs: at(-1), details: {} });
  const { choices } = house.store.batches;
  const line = (of: string): unknown => JSON.parse(batchNdjson(batchOf(house, of), choices));
  return { house, batches, id, line };
}

type House = ReturnType<typeof startHouse>;

function batchOf({ store }: House, id: string) {
  const batch = store.batches.get(Number(id));
  if (!batch) throw new Error(`no batch ${id}`);
  return batch;
}

describe('batches from their export', () => {
  test('come back as they were, to the last entry, under a number of their own', async () => {
    const { house, batches, id, line } = await withABatch();
    const exported = line(id);
    batches.remove(id);
    const answer = batches.importFrom({ batches: [exported], preparations: [], sheets: [], dryRun: false });
    expect(answer).toEqual({
      dryRun: false,
      batches: 1,
      preparations: 0,
      sheets: 0,
      refused: [],
      notes: [],
    });
    const [again] = batches.list({ placeId: null, state: 'closed' });
    expect(again?.id).not.toBe(id);
    expect(exported).toMatchObject({ leads: [{ placeId: 'bench-2' }], counts: [{ potted: 4 }] });
    expect(line(again?.id ?? '')).toEqual({ ...(exported as object), id: Number(again?.id) });
    house.daemon.stop();
  });

  test('a dry run checks all and keeps nothing', async () => {
    const { house, batches, id, line } = await withABatch();
    const exported = line(id);
    batches.remove(id);
    const answer = batches.importFrom({
      batches: [exported, { crop: 'x' }],
      preparations: [],
      sheets: [],
      dryRun: true,
    });
    expect(answer).toMatchObject({
      dryRun: true,
      batches: 1,
      refused: [{ what: 'batch', nth: 2, name: 'x' }],
    });
    expect(batches.list({ placeId: null, state: null })).toEqual([]);
    house.daemon.stop();
  });

  test('what is refused says why, and leaves the others and nothing of itself', async () => {
    const { house, batches, id, line } = await withABatch();
    const good = line(id) as Record<string, unknown>;
    batches.remove(id);
    const elsewhere = { ...good, stays: [{ placeId: 'nowhere', from: good['stuckAt'] }] };
    const late = { ...good, counts: [{ at: '2026-06-02T00:00:00Z', looked: 5, rooted: 1 }] };
    const more = { ...good, counts: [{ at: good['stuckAt'], looked: 5, rooted: 6 }] };
    const answer = batches.importFrom({
      batches: [elsewhere, late, more, good, good],
      preparations: [],
      sheets: [],
      dryRun: false,
    });
    expect(answer.batches).toBe(1);
    expect(answer.refused.map(({ nth, reason }) => `${nth} ${reason}`)).toEqual([
      '1 There is no place "nowhere"; GET /api/v1/places lists them.',
      expect.stringMatching(/^2 "at" must/),
      expect.stringMatching(/^3 "counts\.0\.rooted" is not right: rooted and lost together/),
      expect.stringMatching(/^5 It is there already, as batch \d+\.$/),
    ]);
    expect(batches.list({ placeId: null, state: null })).toHaveLength(1);
    house.daemon.stop();
  });

  test('own sheets come first, and one that is not right is refused by name', async () => {
    const { house, batches } = await withABatch();
    const { sheets } = house.daemon;
    const sheet = sheets.sheet('poinsettia', undefined);
    const before = sheets.list().length;
    const asked = { batches: [], preparations: [], sheets: [sheet, { ...sheet, stages: [] }] };
    expect(batches.importFrom({ ...asked, dryRun: true })).toMatchObject({ sheets: 1 });
    expect(sheets.list()).toHaveLength(before);
    const answer = batches.importFrom({ ...asked, dryRun: false });
    expect(answer).toMatchObject({ sheets: 1, refused: [{ what: 'sheet', nth: 2, name: 'Poinsettia' }] });
    expect(sheets.list()).toHaveLength(before + 1);
    house.daemon.stop();
  });
});
