import Database from 'better-sqlite3';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { openDatabase, readMigrations } from '../../../../../server/adapters/sqlite/database.ts';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { MAX_DIARY_ENTRIES, MAX_PHOTOS } from '../../../../../shared/model/cuttings/diary.ts';
import { pngOf } from '../../../../support/photos.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../../support/house.ts';

const HOUR_MS = 3_600_000;
const AT_BENCH = { placeId: 'bench-1', batchId: null, note: null, by: null };
const ALL = { ...AT_BENCH, fromMs: null, toMs: null, deleted: false, limit: 1_000, after: null };

async function begun(file = databaseFile()) {
  const house = startHouse({ store: openStore({ file, nowMs: START_MS }) });
  await house.report([airRecord(22)]);
  return house;
}

describe('a vent', () => {
  test('of one tap is over at once: it hides no alarm, and counts as the last vent', async () => {
    const { daemon, store } = await begun();
    const { id } = daemon.diary.add({ ...AT_BENCH, kind: 'vented', atMs: START_MS - HOUR_MS });
    const hour = { fromMs: START_MS - HOUR_MS, toMs: START_MS - HOUR_MS };
    expect(store.diary.vents('bench-1')).toEqual([
      { id: Number(id), placeId: 'bench-1', ...hour, note: null },
    ]);
    const span = { fromMs: START_MS - 2 * HOUR_MS, toMs: START_MS };
    expect(daemon.queries.vents('bench-1', span)).toMatchObject({ hoursSinceVent: 1 });
  });

  test('that is logged is an entry of the diary, and one that was deleted there is logged no more', async () => {
    const { daemon, store } = await begun();
    const vent = { fromMs: START_MS - HOUR_MS, toMs: null, note: 'to dry off' };
    const { id } = daemon.orders.logVent('bench-1', vent);
    const entry = { id: String(id), kind: 'vented', to: null, note: 'to dry off' };
    expect(daemon.diary.list(ALL).entries).toMatchObject([entry]);
    daemon.diary.remove(String(id));
    expect(store.diary.vents('bench-1')).toEqual([]);
    daemon.orders.logVent('bench-1', vent);
    expect(() => daemon.diary.restore(String(id))).toThrow(/written down as open/);
  });

  test('keeps how long it was when its start is changed, and never ends after now', async () => {
    const { daemon } = await begun();
    const vent = { fromMs: START_MS - 2 * HOUR_MS, toMs: START_MS - HOUR_MS, note: null };
    const id = String(daemon.orders.logVent('bench-1', vent).id);
    const shown = (atMs: number) => {
      const { at, to } = daemon.diary.change(id, { atMs });
      return [at, to].map((time) => (Date.parse(time ?? '') - START_MS) / HOUR_MS);
    };
    expect(shown(START_MS - 5 * HOUR_MS)).toEqual([-5, -4]);
    expect(shown(START_MS - HOUR_MS / 2)).toEqual([-0.5, 0]);
  });

  test('of a record from before there was a diary is an entry with its number, its end and its note', () => {
    const file = databaseFile();
    const db = openDatabase({
      file,
      nowMs: 0,
      migrations: readMigrations().filter(({ name }) => name < '0021'),
    });
    db.exec(`INSERT INTO place (id, name, kind, invented, settings) VALUES ('b', 'Bench', 'bench', 0, '{}');
      INSERT INTO vent (id, place_id, from_ms, to_ms, note) VALUES (4, 'b', 10, 20, 'aired'), (7, 'b', 5, NULL, NULL),
        (9, 'b', 1, 2, NULL);
      DELETE FROM vent WHERE id = 9`);
    db.close();
    const store = openStore({ file, nowMs: 0 });
    expect(store.diary.vents('b')).toEqual([
      { id: 7, placeId: 'b', fromMs: 5, toMs: null, note: null },
      { id: 4, placeId: 'b', fromMs: 10, toMs: 20, note: 'aired' },
    ]);
    const added = store.diary.addVent({ placeId: 'b', fromMs: 30, toMs: 40, note: null });
    expect(added.id).toBe(10);
    store.close();
  });
});

test('whatever is written, changed, deleted and restored, the list is what a list in memory would be', async () => {
  const order = fc.record({
    deed: fc.constantFrom('add', 'add', 'change', 'delete', 'restore'),
    which: fc.nat(30),
    hour: fc.nat(200),
    note: fc.option(fc.string({ minLength: 1, maxLength: 20 }), { nil: null }),
  });
  await fc.assert(
    fc.asyncProperty(fc.array(order, { maxLength: 40 }), async (deeds) => {
      const { daemon, store } = await begun();
      const model: { id: string; atMs: number; note: string | null; deleted: boolean }[] = [];
      for (const { deed, which, hour, note } of deeds) {
        const atMs = START_MS - hour * HOUR_MS;
        const one = model[which % Math.max(model.length, 1)];
        if (deed === 'add') {
          const { id } = daemon.diary.add({ ...AT_BENCH, kind: 'note', atMs, note });
          model.push({ id, atMs, note, deleted: false });
        } else if (one && deed === 'restore') {
          daemon.diary.restore(one.id);
          one.deleted = false;
        } else if (one?.deleted) {
          expect(() => daemon.diary.remove(one.id)).toThrow(/no entry/);
        } else if (one && deed === 'delete') {
          daemon.diary.remove(one.id);
          one.deleted = true;
        } else if (one) {
          daemon.diary.change(one.id, { atMs, note });
          Object.assign(one, { atMs, note });
        }
      }
      for (const deleted of [false, true]) {
        const expected = model
          .filter((entry) => entry.deleted === deleted)
          .toSorted((a, b) => b.atMs - a.atMs || Number(b.id) - Number(a.id));
        const listed = daemon.diary.list({ ...ALL, deleted }).entries;
        expect(listed.map(({ id, at, note }) => [id, Date.parse(at), note])).toEqual(
          expected.map(({ id, atMs, note }) => [id, atMs, note]),
        );
      }
      daemon.stop();
      store.close();
    }),
    { numRuns: 30 },
  );
});

/** Rows as many entries would leave them, written beside the daemon. */
function filled(
  file: string,
  { rows, photo, deletedMs }: { rows: number; photo: boolean; deletedMs: number | null },
) {
  const db = new Database(file);
  db.prepare(
    `INSERT INTO diary_entry (place_id, kind, at_ms, photo, deleted_ms)
     WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?)
     SELECT 'bench-1', 'misted', ?, ?, ? FROM n`,
  ).run(rows, START_MS - HOUR_MS, photo ? `${'a'.repeat(64)}.jpg` : null, deletedMs);
  db.close();
}

describe('the limits', () => {
  test(`with ${MAX_DIARY_ENTRIES} entries a further one takes the place of a deleted one, or is refused`, async () => {
    const file = databaseFile();
    const { daemon, store } = await begun(file);
    filled(file, { rows: MAX_DIARY_ENTRIES - 1, photo: false, deletedMs: null });
    filled(file, { rows: 1, photo: false, deletedMs: START_MS });
    const order = { ...AT_BENCH, kind: 'misted' as const, atMs: null };
    daemon.diary.add(order);
    expect(store.diary.counts()).toEqual({ entries: MAX_DIARY_ENTRIES, photos: 0 });
    expect(() => daemon.diary.add(order)).toThrow(/entries already/);
    expect(store.diary.counts().entries).toBe(MAX_DIARY_ENTRIES);
    expect(daemon.diary.list(ALL).entries).toHaveLength(1_000);
  });

  test(`with ${MAX_PHOTOS} photos a further one is refused`, async () => {
    const file = databaseFile();
    const { daemon } = await begun(file);
    filled(file, { rows: MAX_PHOTOS, photo: true, deletedMs: null });
    await expect(daemon.diary.addPhoto({ ...AT_BENCH, atMs: null }, pngOf(1))).rejects.toThrow(
      /photos already/,
    );
  });
});

test('the diary of a place is exported as CSV and NDJSON, in the order of time, without what was deleted', async () => {
  const { daemon } = await begun();
  const add = (hours: number, note: string | null) =>
    daemon.diary.add({ ...AT_BENCH, kind: 'treated', atMs: START_MS - hours * HOUR_MS, note, by: 'Sam' });
  add(1, '=SUM(A1)');
  add(2, null);
  daemon.diary.remove(add(3, 'wrong bench').id);
  const text = (as: 'csv' | 'ndjson') =>
    [
      ...daemon.exchange.exportOf('bench-1', { what: 'diary', as, by: 'day', fromMs: null, toMs: null })
        .chunks,
    ]
      .map((chunk) => chunk.text)
      .join('');
  expect(text('csv')).toBe(
    'id,at,to,kind,place,batch,note,by,photo,batchCrop,batchStuckAt,batchPlace\r\n' +
      '2,2026-06-01T08:00:00.000Z,,treated,bench-1,,,Sam,,,,\r\n' +
      "1,2026-06-01T09:00:00.000Z,,treated,bench-1,,'=SUM(A1),Sam,,,,\r\n",
  );
  const lines = text('ndjson').trim().split('\n');
  expect(lines.map((line) => JSON.parse(line) as object)).toMatchObject([
    { id: 2, at: '2026-06-01T08:00:00.000Z', kind: 'treated', place: 'bench-1', batch: null, photo: null },
    { id: 1, note: '=SUM(A1)' },
  ]);
});
