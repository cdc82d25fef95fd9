import { copyFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import { beforeAll, describe, expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { startRemoval } from '../../../../../server/daemon/lifecycle/removal.ts';
import { NO_DETAILS } from '../../../../../shared/model/cuttings/batch.ts';
import { contentsOf } from '../../support/failing-store.ts';
import { clockByHand, readableLog } from '../../support/hand.ts';
import { airRecord, databaseFile, type House, START_MS, startHouse } from '../../support/house.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;
const PLACE = { kind: 'place', placeId: 'bench-1' } as const;

let full = { file: '', nowMs: 0 };

/** A house on a file of its own, with two benches that have something in every table. */
function filled() {
  const file = databaseFile();
  copyFileSync(full.file, file);
  const hand = clockByHand(full.nowMs);
  const open = () => startHouse({ hand, store: openStore({ file, nowMs: hand.clock.nowMs() }) });
  return { house: open(), hand, file, open };
}

beforeAll(async () => {
  const file = databaseFile();
  const hand = clockByHand(START_MS);
  const house = startHouse({ hand, store: openStore({ file, nowMs: START_MS }) });
  for (let i = 0; i < 14; i++) {
    for (const device of ['bench-1', 'bench-2'])
      await house.report([airRecord(30), { n: 'root/temperature', u: 'Cel', v: 22 }], device);
    hand.pass(5 * MINUTE_MS);
  }
  await house.report([{ n: 'air/temperature', v: 1 }]);
  for (const placeId of ['bench-1', 'bench-2']) fill(house, placeId);
  // sealed and settled
  hand.pass(4 * 60 * MINUTE_MS);
  for (const { id } of house.daemon.queries.places())
    house.daemon.queries.exposures(id, { fromMs: START_MS - DAY_MS, toMs: START_MS + DAY_MS });
  house.daemon.stop();
  house.store.close();
  // a day is settled whole only once it is long over
  const db = new Database(file);
  for (const place of ['bench-1', 'bench-2'])
    db.prepare('INSERT INTO settled_day VALUES (?, 0, 86400000, ?)').run(place, Buffer.alloc(1));
  // and what a wrong clock dated is set aside only once the clock is put right
  db.prepare('INSERT INTO clock_jump VALUES (1, 1, 0, -1, 1)').run();
  const probeId = house.daemon.world.probesOf('bench-1')[0]?.id;
  db.prepare('INSERT INTO set_aside VALUES (1, 1, ?, 0, 0, 1, 0, ?)').run(probeId, Buffer.alloc(1));
  db.close();
  full = { file, nowMs: hand.clock.nowMs() };
});

function fill({ daemon, store }: House, placeId: string): void {
  const probeId = daemon.world.probesOf(placeId)[0]?.id ?? 0;
  daemon.orders.logVent(placeId, { fromMs: START_MS, toMs: START_MS + MINUTE_MS, note: null });
  daemon.checks.correct(probeId, {
    gain: 1,
    offset: 0.5,
    reason: 'checked',
    fromMs: START_MS + MINUTE_MS,
    checkId: null,
    by: null,
  });
  daemon.checks.setDue(probeId, START_MS + DAY_MS);
  const { id } = daemon.checks.start({ probeId, kind: 'ice', by: null });
  daemon.checks.begin(id, { sinceMs: START_MS + MINUTE_MS, untilMs: START_MS + 2 * MINUTE_MS });
  stick(store, placeId);
  const alarmId = `${placeId}.air-over-ceiling`;
  store.people.saveCalling(alarmId, { ...NOT_CALLED, raisedMs: START_MS }, null);
  store.outbox.put({
    key: `alarm-${placeId}`,
    wayId: 1,
    alarmId,
    body: '{}',
    recipient: 'Robin',
    kind: 'alarm.raised',
    createdMs: START_MS,
  });
}

/** A batch that was chosen to lead, and went on to the other bench; the bands stay as they are. */
function stick(store: House['store'], placeId: string): void {
  const sheets = [{ sheetId: 'poinsettia', version: 1, fromMs: START_MS, entered: 1 }];
  const body = { ...NO_DETAILS, crop: 'Coleus', count: 10, sheets };
  store.transaction(() => {
    const batchId = store.batches.add({ placeId, stage: 'sticking', stuckMs: START_MS, entered: 1, body });
    const other = placeId === 'bench-1' ? 'bench-2' : 'bench-1';
    store.batches.putMove({ batchId, n: 1, placeId: other, fromMs: START_MS + MINUTE_MS, entered: 2 });
    store.batches.choose(placeId, { batchId, fromMs: START_MS, entered: 3 });
  });
}

const NOT_CALLED = {
  raisedMs: null,
  askingSinceMs: null,
  called: [],
  notified: [],
  notifiedOfReturn: [],
  toNotifyOfAcknowledgement: [],
  onMorningSheet: false,
};

/** Days pass, and removal has its turn once a day, and again as long as it is busy, while the daemon does no other work. */
function passDays(days: number, { store, hand }: Pick<House, 'store' | 'hand'>): void {
  let next = { inMs: 0, turn: () => {} };
  const after = (inMs: number, turn: () => void) => {
    next = { inMs, turn };
    return () => undefined;
  };
  startRemoval({
    store,
    clock: hand.clock,
    timers: { ...hand.timers, after },
    log: readableLog(),
    gone: () => undefined,
  });
  for (let day = 0; day < days; day++) {
    hand.pass(DAY_MS);
    do next.turn();
    while (next.inMs < MINUTE_MS);
  }
}

/** What is left of a name in any row of any table, as it stands in the file. */
function leftOf(file: string, name: string, probeIds: readonly number[]): string[] {
  const left: string[] = [];
  for (const [table, rows] of Object.entries(contentsOf(file)))
    for (const row of rows as Record<string, unknown>[]) {
      // alarms of other places may name one of this place as their cause
      const names = Object.values(row).some(
        (value) => value === name || (typeof value === 'string' && value.startsWith(`${name}.`)),
      );
      const numbers = typeof row['probe_id'] === 'number' && probeIds.includes(row['probe_id']);
      if (names || numbers) left.push(table);
    }
  return [...new Set(left)].toSorted();
}

function integrityOf(file: string): unknown[] {
  const db = new Database(file, { readonly: true });
  const found = [db.pragma('integrity_check', { simple: true }), db.pragma('foreign_key_check')];
  db.close();
  return found;
}

test('the bench that is removed has rows in every table that names a probe, a place, an alarm or a device', () => {
  const { file, house } = filled();
  const db = new Database(file, { readonly: true });
  const named = db
    .prepare<[], string>(
      `SELECT DISTINCT m.name FROM sqlite_master AS m, pragma_table_info(m.name) AS c
       WHERE m.type = 'table' AND c.name IN ('probe_id', 'place_id', 'alarm_id', 'device')`,
    )
    .pluck()
    .all();
  db.close();
  const probeIds = house.daemon.world.probesOf('bench-1').map(({ id }) => id);
  house.daemon.stop();
  const left = leftOf(file, 'bench-1', probeIds);
  // devices that wait are no part of the archive
  const own = ['waiting_device', 'waiting_pack'];
  expect(named.filter((table) => !own.includes(table) && !left.includes(table))).toEqual([]);
});

describe('30 days after it was deleted', () => {
  test('nothing of it is left in any table, all of the other bench is, and the file is sound', async () => {
    const { house, hand, file, open } = filled();
    const probeIds = house.daemon.world.probesOf('bench-1').map(({ id }) => id);
    const others = JSON.stringify(house.daemon.queries.exposures('bench-2', span));
    expect(leftOf(file, 'bench-1', probeIds)).toEqual([
      'alarm',
      'alarm_event',
      'batch',
      'batch_move',
      'calling',
      'check_due',
      'correction',
      'diary_entry',
      'leading',
      'outbox',
      'place',
      'probe',
      'probe_check',
      'refused',
      'sealed',
      'set_aside',
      'settled',
      'settled_day',
      'targets',
    ]);
    house.daemon.archive.delete(PLACE);
    house.daemon.stop();
    passDays(29, house);
    expect(leftOf(file, 'bench-1', probeIds)).toContain('sealed');
    passDays(1, house);
    expect(leftOf(file, 'bench-1', probeIds)).toEqual([]);
    expect(integrityOf(file)).toEqual(['ok', []]);
    const later = open();
    expect(later.daemon.archive.answer().items).toEqual([]);
    expect(JSON.stringify(later.daemon.queries.exposures('bench-2', span))).toBe(others);
    // the name is free again
    await later.report([airRecord(21)]);
    const whole = { fromMs: span.fromMs, toMs: hand.clock.nowMs() + 1 };
    const query = { ...whole, quantity: 'airTemperatureC', points: null } as const;
    expect(later.daemon.queries.series('bench-1', query).points).toHaveLength(1);
  });

  test('what is archived stays', async () => {
    const { house, file } = filled();
    house.daemon.archive.archive(PLACE);
    house.daemon.stop();
    passDays(40, house);
    expect(house.daemon.archive.answer().items).toMatchObject([{ state: 'archived' }]);
    expect(leftOf(file, 'bench-1', [])).toContain('targets');
  });
});

const span = { fromMs: START_MS - DAY_MS, toMs: START_MS + DAY_MS };

describe('removed for good at once', () => {
  test('with readings that are not sealed yet, and cut off after each step: the next start goes on, and ends alike', async () => {
    const { house, hand, file, open } = filled();
    const probeIds = house.daemon.world.probesOf('bench-1').map(({ id }) => id);
    // an open hour, and a page of groups more than one step looks through
    for (let i = 0; i < 30; i++) {
      for (const device of ['bench-1', 'bench-2']) await house.report([airRecord(20 + i / 10)], device);
      hand.pass(1_000);
    }
    const other = house.daemon.world.probesOf('bench-2').map(({ id }) => id);
    const readings = (of: House) =>
      of.store.journal
        .window({ probeIds: other, fromMs: 0, toMs: START_MS + 2 * DAY_MS })
        .map(({ timesMs, values }) => [[...timesMs], [...values]]);
    const before = readings(house);
    const { id } = house.daemon.archive.delete(PLACE);
    house.daemon.archive.deleteItem(id, { now: true });
    expect(() => house.daemon.archive.restore(id)).toThrow('being removed');
    house.daemon.stop();
    house.store.close();
    let steps = 0;
    for (let more = true; more; steps++) {
      // each step in a process of its own, as if it died after each
      const store = openStore({ file, nowMs: hand.clock.nowMs() });
      more = store.archive.removeSome(id);
      store.close();
      if (steps > 200) throw new Error('it never ends');
    }
    expect(steps).toBeGreaterThan(10);
    const again = open();
    expect(leftOf(file, 'bench-1', probeIds)).toEqual([]);
    expect(integrityOf(file)).toEqual(['ok', []]);
    expect(readings(again)).toEqual(before);
  });

  test('by the turn of the daemon, a few rows at a time, and the name is free again', async () => {
    const { house, hand, file } = filled();
    const { id } = house.daemon.archive.delete(PLACE);
    await house.report([airRecord(20)]);
    house.daemon.archive.deleteItem(id, { now: true });
    hand.pass(5_000);
    expect(leftOf(file, 'bench-1', [])).toEqual([]);
    await house.report([airRecord(21)]);
    expect(house.daemon.queries.now('bench-1').quantities.airTemperatureC?.value).toBe(21);
    const [probe] = house.daemon.queries.probes().filter(({ device }) => device === 'bench-1');
    // a probe that takes up the number of one that is gone takes up nothing else of it
    expect(house.store.corrections.of(probe?.id ?? 0)).toEqual([]);
    expect(house.store.journal.oldestMs([probe?.id ?? 0])).toBe(hand.clock.nowMs());
  });
});

test('a clock that jumps 400 days ahead removes nothing, nor one that jumps back', async () => {
  const { house, hand, file, open } = filled();
  const { id } = house.daemon.archive.delete(PLACE);
  house.daemon.stop();
  // the daemon is off, and starts with its clock 400 days ahead
  hand.pass(400 * DAY_MS);
  const ahead = open();
  hand.pass(5 * MINUTE_MS);
  ahead.daemon.stop();
  passDays(20, ahead);
  expect(ahead.daemon.archive.answer().items).toMatchObject([{ id, state: 'deleted' }]);
  ahead.daemon.archive.restore(id);
  expect(
    ahead.daemon.queries
      .places()
      .map((place) => place.id)
      .toSorted(),
  ).toEqual(['bench-1', 'bench-2']);
  expect(leftOf(file, 'bench-1', [])).toContain('settled');
});
