import { expect, test } from 'vitest';
import type { Store } from '../../server/ports.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../shared/model/place.ts';
import { type Opened, settle } from './opened.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** Long after everything below is over. */
const LATER = { nowMs: 10 * DAY_MS, limit: 1_000 };

function append(store: Store, probeId: number, timesMs: readonly number[]): void {
  store.transaction(() => {
    for (const tMs of timesMs) store.journal.append({ probeId, tMs, value: valueAt(tMs) });
  });
}

/** Some value of a time, on no grid in particular. */
function valueAt(tMs: number): number {
  return 20 + Math.sin(tMs / 1e6) + (tMs % 7) / 100;
}

function sealAll(store: Store): number {
  let sealed = 0;
  for (let turn = 0; turn < 100; turn++) {
    const { sealed: hours, more } = store.journal.seal(LATER);
    sealed += hours.length;
    if (!more) return sealed;
  }
  throw new Error('sealing does not end');
}

function readings(store: Store, probeId: number, fromMs = 0, toMs = 20 * DAY_MS): [number, number][] {
  const [found] = store.journal.window({ probeIds: [probeId], fromMs, toMs });
  return found ? Array.from(found.timesMs, (tMs, i) => [tMs, found.values[i] as number]) : [];
}

/** Every minute and a half of 5 hours. */
const TIMES = Array.from({ length: 200 }, (_, i) => i * 90_000 + (i % 3));
const EXPECTED = TIMES.map((tMs) => [tMs, valueAt(tMs)]);

/**
 * What a store promises about sealing: nothing that can be read changes by it.
 *
 * @param opened the store
 */
export function sealingContract({ store, reopen }: Opened): void {
  test('5 hours sealed read back bit for bit, before and after a restart', () => {
    const probeId = settle(store());
    append(store(), probeId, TIMES);
    expect(sealAll(store())).toBe(5);
    expect(readings(store(), probeId)).toEqual(EXPECTED);
    expect(readings(reopen(), probeId)).toEqual(EXPECTED);
    expect(store().journal.openHours(probeId)).toEqual([]);
  });

  test('a window that cuts sealed hours holds both its ends: 3 of 200 readings', () => {
    const probeId = settle(store());
    append(store(), probeId, TIMES);
    sealAll(store());
    const [from = 0, , to = 0] = TIMES.slice(39, 42);
    expect(readings(store(), probeId, from, to).map(([tMs]) => tMs)).toEqual(TIMES.slice(39, 42));
  });

  test('an hour is sealed 10 min after its end and not before', () => {
    const probeId = settle(store());
    append(store(), probeId, [0, 60_000]);
    const sealedAt = (nowMs: number) => store().journal.seal({ nowMs, limit: 10 }).sealed.length;
    expect(sealedAt(HOUR_MS + 599_999)).toBe(0);
    expect(sealedAt(HOUR_MS + 600_000)).toBe(1);
    expect(sealedAt(HOUR_MS + 600_000)).toBe(0);
  });

  test('late readings reopen their hour: stored, repeated and conflicting ones are told apart, and it is sealed again', () => {
    const probeId = settle(store());
    append(
      store(),
      probeId,
      TIMES.filter((_, i) => i % 2 === 0),
    );
    sealAll(store());
    const late = store().transaction(() => [
      store().journal.append({ probeId, tMs: TIMES[1] as number, value: valueAt(TIMES[1] as number) }),
      store().journal.append({ probeId, tMs: 0, value: valueAt(0) }),
      store().journal.append({ probeId, tMs: 0, value: -5 }),
    ]);
    expect(late).toEqual(['stored', 'repeat', 'conflict']);
    append(
      store(),
      probeId,
      TIMES.filter((_, i) => i % 2 === 1 && i > 1),
    );
    expect(readings(store(), probeId)).toEqual(EXPECTED);
    expect(readings(reopen(), probeId)).toEqual(EXPECTED);
    sealAll(store());
    expect(readings(reopen(), probeId)).toEqual(EXPECTED);
    expect(store().journal.openHours(probeId)).toEqual([]);
  });

  test('a turn seals no more hours than its limit: 5 hours of 3 probes take 4 turns of 4', () => {
    const probeIds = ['a', 'b', 'c'].map((device) => settle(store(), { device }));
    for (const probeId of probeIds) append(store(), probeId, TIMES);
    const turns = Array.from({ length: 4 }, () => store().journal.seal({ ...LATER, limit: 4 }).sealed.length);
    expect(turns).toEqual([4, 4, 4, 3]);
    for (const probeId of probeIds) expect(readings(store(), probeId)).toEqual(EXPECTED);
  });
}

/**
 * What a store promises of hours that are sealed: what they say of themselves, and that nothing undoes them.
 *
 * @param opened the store
 */
export function sealedContract({ store, reopen }: Opened): void {
  test('a crash between the sealing and the clearing of the journal changes nothing', () => {
    const probeId = settle(store());
    append(store(), probeId, TIMES);
    // as many hours as the limit: the turn ends before it clears the journal
    expect(store().journal.seal({ ...LATER, limit: 5 }).more).toBe(true);
    expect(readings(reopen(), probeId)).toEqual(EXPECTED);
    expect(sealAll(store())).toBe(0);
    expect(readings(reopen(), probeId)).toEqual(EXPECTED);
  });

  test('an hour of 40 readings says its count, ends and extremes without being opened', () => {
    const probeId = settle(store());
    append(store(), probeId, TIMES.slice(0, 40));
    sealAll(store());
    const values = TIMES.slice(0, 40).map(valueAt);
    // the trapezoid rule, by hand
    const area = TIMES.slice(1, 40).reduce((sum, tMs, i) => {
      const [before = 0, after = 0] = [values[i], values[i + 1]];
      return sum + ((before + after) / 2) * (tMs - (TIMES[i] as number));
    }, 0);
    const [hour] = store().journal.hours(probeId, { fromMs: 0, toMs: HOUR_MS });
    // sums of 39 products in another order: 1e-12 relative
    expect((hour?.area ?? 0) / area).toBeCloseTo(1, 12);
    expect([{ ...hour, area: 0 }]).toEqual([
      {
        hour: 0,
        count: 40,
        firstMs: TIMES[0],
        lastMs: TIMES[39],
        firstValue: values[0],
        lastValue: values[39],
        min: Math.min(...values),
        max: Math.max(...values),
        coveredMs: TIMES[39],
        area: 0,
      },
    ]);
  });

  test('newest and oldest are found in sealed hours, open ones, or both', () => {
    const probeId = settle(store());
    append(store(), probeId, TIMES);
    sealAll(store());
    const last = TIMES.at(-1) as number;
    expect(store().journal.latest(probeId)).toEqual({ probeId, tMs: last, value: valueAt(last) });
    expect(store().journal.oldestMs([probeId])).toBe(0);
    append(store(), probeId, [last + 5]);
    expect(reopen().journal.latest(probeId)?.tMs).toBe(last + 5);
  });
}

/**
 * What a store promises of hours whose readings went for their age.
 *
 * @param opened the store
 */
export function droppedContract({ store, reopen }: Opened): void {
  test('of 40 readings in 1 dropped hour, minutes and the hour stay, the next hour is whole, after a restart too', () => {
    const probeId = settle(store());
    append(store(), probeId, TIMES.slice(0, 80));
    sealAll(store());
    const day = { fromMs: 0, toMs: DAY_MS };
    const seen = () => [store().journal.minutes(probeId, day), store().journal.hours(probeId, day)];
    const before = seen();
    const drop = () =>
      store().transaction(() => store().journal.dropReadings(0, [probeId], (_, record) => record));
    expect([drop(), drop()]).toEqual([1, 0]);
    store().transaction(() => store().horizon.set({ countedHour: 50, droppedHour: 1 }));
    reopen();
    expect(seen()).toEqual(before);
    expect(readings(store(), probeId)).toEqual(EXPECTED.slice(40, 80));
    // a reading every 90 s is alone in its minute, and stays what it was
    const [left] = store().journal.window({
      probeIds: [probeId],
      fromMs: 0,
      toMs: HOUR_MS - 1,
      orMinutes: true,
    });
    expect(Array.from(left?.timesMs ?? [])).toEqual(TIMES.slice(0, 40));
    expect(store().horizon.get()).toEqual({ countedHour: 50, droppedHour: 1 });
    append(store(), probeId, [7]);
    expect(readings(reopen(), probeId)).toEqual(EXPECTED.slice(40, 80));
  });

  test('a transaction that fails leaves the readings of the hour and the horizon where they were', () => {
    const probeId = settle(store());
    append(store(), probeId, TIMES.slice(0, 40));
    sealAll(store());
    const failing = () =>
      store().transaction(() => {
        store().journal.dropReadings(0, [probeId], (_, record) => record);
        store().horizon.set({ countedHour: 50, droppedHour: 1 });
        throw new Error('as on a full disk');
      });
    expect(failing).toThrow('full disk');
    expect(store().horizon.get()).toBeNull();
    expect(readings(store(), probeId)).toEqual(EXPECTED.slice(0, 40));
  });
}

/**
 * What a store promises when readings are taken back or removed, sealed or not.
 *
 * @param opened the store
 */
export function takenBackContract({ store, reopen }: Opened): void {
  test('a transaction that fails takes its readings back, sealed hours or not', () => {
    const probeId = settle(store());
    append(store(), probeId, TIMES.slice(0, 40));
    sealAll(store());
    const failing = () =>
      store().transaction(() => {
        store().journal.append({ probeId, tMs: 7, value: 1 });
        store().journal.append({ probeId, tMs: 9 * HOUR_MS, value: 1 });
        throw new Error('as on a full disk');
      });
    expect(failing).toThrow('full disk');
    expect(readings(store(), probeId)).toEqual(EXPECTED.slice(0, 40));
    append(store(), probeId, TIMES.slice(40));
    expect(readings(store(), probeId)).toEqual(EXPECTED);
  });

  test('removing a place takes its readings out of groups it shares with another', () => {
    for (const id of ['a', 'b']) {
      store().places.add({ id, name: id, kind: 'dome', invented: false, settings: DEFAULT_PLACE_SETTINGS });
    }
    const [gone = 0, stays = 0] = ['a', 'b'].map((device) => settle(store(), { device, placeId: device }));
    store().transaction(() => {
      for (const probeId of [gone, stays]) store().journal.append({ probeId, tMs: 5, value: 20 });
    });
    store().transaction(() => store().places.removeWithRecord('a'));
    expect(readings(store(), stays)).toEqual([[5, 20]]);
    expect(readings(reopen(), stays)).toEqual([[5, 20]]);
    expect(readings(store(), gone)).toEqual([]);
  });
}
