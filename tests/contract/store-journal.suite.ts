import { expect, test } from 'vitest';
import type { Store } from '../../server/ports.ts';
import { type Opened, settle } from './opened.ts';

function append(store: Store, probeId: number, timesMs: readonly number[]): void {
  store.transaction(() => {
    for (const tMs of timesMs) store.journal.append({ probeId, tMs, value: tMs });
  });
}

/**
 * What a store promises about its readings.
 *
 * @param opened the store
 */
export function journalContract({ store, reopen }: Opened): void {
  const fill = (probeId: number, timesMs: readonly number[]) => append(store(), probeId, timesMs);
  const timesIn = (probeIds: readonly number[], fromMs: number, toMs: number) =>
    store()
      .journal.window({ probeIds, fromMs, toMs })
      .map(({ probeId, timesMs }) => [probeId, ...timesMs]);

  test('an append is stored once, then a repeat; another value is a conflict and the first stays', () => {
    const probeId = settle(store());
    const append = (value: number) =>
      store().transaction(() => store().journal.append({ probeId, tMs: 10, value }));
    expect([append(20), append(20), append(21), append(20)]).toEqual([
      'stored',
      'repeat',
      'conflict',
      'repeat',
    ]);
    reopen();
    expect([append(20), append(21)]).toEqual(['repeat', 'conflict']);
    expect(store().journal.latest(probeId)).toEqual({ probeId, tMs: 10, value: 20 });
  });

  test('0 and −0 at one time are the same reading', () => {
    const probeId = settle(store());
    expect(store().journal.append({ probeId, tMs: 1, value: 0 })).toBe('stored');
    expect(store().journal.append({ probeId, tMs: 1, value: -0 })).toBe('repeat');
  });

  test('a window from 10 to 30 ms holds both ends, ascending, however they came', () => {
    const probeId = settle(store());
    fill(probeId, [30, 9, 20, 31, 10]);
    expect(timesIn([probeId], 10, 30)).toEqual([[probeId, 10, 20, 30]]);
  });

  test('a window gives 1 entry for each of 2 probes that have readings in it, by id, and none for others', () => {
    const [one, two, three] = ['a', 'b', 'c'].map((device) => settle(store(), { device }));
    fill(two ?? 0, [10, 12]);
    fill(one ?? 0, [11]);
    fill(three ?? 0, [99]);
    expect(timesIn([three ?? 0, two ?? 0, one ?? 0], 10, 30)).toEqual([
      [one, 11],
      [two, 10, 12],
    ]);
    expect(timesIn([], 0, 100)).toEqual([]);
  });
}

/**
 * What a store promises about the newest and the oldest reading of a probe.
 *
 * @param opened the store
 */
export function latestContract({ store, reopen }: Opened): void {
  const fill = (probeId: number, timesMs: readonly number[]) => append(store(), probeId, timesMs);

  test.each([
    ['without a note of its cadence', null],
    ['with a note of 5 ms', 5],
  ])('the newest reading is found after a restart %s', (_name, cadenceMs) => {
    const probeId = settle(store());
    const other = settle(store(), { device: 'bench-2' });
    fill(probeId, [10, 20, 30]);
    fill(other, [40]);
    if (cadenceMs !== null) store().journal.noteProgress({ probeId, cadenceMs });
    expect(reopen().journal.latest(probeId)).toEqual({ probeId, tMs: 30, value: 30 });
    expect(store().journal.progressOf(probeId)).toEqual({ probeId, cadenceMs });
  });

  test('the oldest of 2 probes is 5 ms; of none, or of probes without readings, there is none', () => {
    const [one = 0, two = 0, three = 0] = ['a', 'b', 'c'].map((device) => settle(store(), { device }));
    fill(one, [7, 8]);
    fill(two, [6, 5]);
    expect(store().journal.oldestMs([one, two])).toBe(5);
    expect(store().journal.oldestMs([])).toBeNull();
    expect(store().journal.oldestMs([three])).toBeNull();
    expect(store().journal.latest(three)).toBeNull();
  });
}

/**
 * What a store promises about what people write down.
 *
 * @param opened the store
 */
export function diaryContract({ store, reopen }: Opened): void {
  test('2 vents come in the order of their start, 1 without an end, and go with their place or alone', () => {
    settle(store());
    const vent = (fromMs: number, toMs: number | null) =>
      store().diary.addVent({ placeId: 'bench-1', fromMs, toMs, note: toMs === null ? null : 'cover off' });
    const [late, early] = [vent(20, null), vent(10, 15)];
    expect(reopen().diary.vents('bench-1')).toEqual([early, late]);
    expect(early).toEqual({ id: 2, placeId: 'bench-1', fromMs: 10, toMs: 15, note: 'cover off' });
    const remove = (placeId: string) => store().diary.removeVent({ placeId, id: early.id, atMs: 30 });
    expect([remove('elsewhere'), remove('bench-1'), remove('bench-1')]).toEqual([false, true, false]);
    store().places.removeWithRecord('bench-1');
    expect(store().diary.vents('bench-1')).toEqual([]);
  });

  test('entries come newest first, a part at a time, of a place or of a batch with where it stood', () => {
    settle(store());
    const { diary } = store();
    const blank = { toMs: null, note: null, by: null, photo: null, batchId: null, placeId: 'bench-1' };
    const write = () => [10, 20, 20, 30].map((atMs) => diary.add({ ...blank, kind: 'misted', atMs }));
    const ids = store().transaction(write);
    const query = {
      placeId: 'bench-1',
      batch: null,
      fromMs: 0,
      toMs: 99,
      deleted: false,
      after: null,
      limit: 9,
    };
    const listed = (change: object) =>
      reopen()
        .diary.list({ ...query, ...change })
        .map(({ id }) => id);
    expect(listed({})).toEqual(ids.toReversed());
    expect(listed({ limit: 2 })).toEqual([ids[3], ids[2]]);
    expect(listed({ after: { atMs: 20, id: ids[2] } })).toEqual([ids[1], ids[0]]);
    expect(listed({ fromMs: 20, toMs: 30 })).toEqual([ids[2], ids[1]]);
    const stays = [{ placeId: 'bench-1', fromMs: 15, toMs: 30 }];
    expect(listed({ placeId: null, batch: { id: 1, stays } })).toEqual([ids[2], ids[1]]);
    expect(listed({ placeId: 'elsewhere' })).toEqual([]);
  });

  test('a deleted entry is listed as deleted, has its time, and is forgotten when it is removed', () => {
    settle(store());
    const { diary } = store();
    const photo = `${'a'.repeat(64)}.jpg`;
    const entry = { placeId: 'bench-1', batchId: null, kind: 'photo' as const, atMs: 10, toMs: null };
    const id = diary.add({ ...entry, note: 'roots', by: 'Sam', photo });
    const kept = { ...entry, id, note: 'roots', by: 'Sam', photo, deletedMs: null };
    expect(reopen().diary.get(id)).toEqual(kept);
    store().diary.update({ ...kept, deletedMs: 50 });
    expect(store().diary.lapsed(50, 9)).toEqual([]);
    expect(store().diary.lapsed(51, 9)).toEqual([{ ...kept, deletedMs: 50 }]);
    expect([store().diary.counts(), store().diary.countAt('bench-1')]).toEqual([
      { entries: 1, photos: 1 },
      0,
    ]);
    expect(store().diary.withPhoto(photo)).toBe(1);
    store().diary.remove(id);
    expect([store().diary.get(id), store().diary.withPhoto(photo)]).toEqual([null, 0]);
  });
}
