import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { MAX_BATCH } from '../../../../server/domain/exchange/read/batch.ts';
import { MAX_PROBES_PER_DEVICE } from '../../../../server/domain/lifecycle/quotas.ts';
import { bytesOf, exchangeOf, faultOf, HOUR_MS, minutes, ORDER, storedOf } from '../support/exchange.ts';
import { failingStore } from '../support/failing-store.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse, TARGET_SHEET_FILE } from '../support/house.ts';

describe('an import', () => {
  test('a dry run of 90 readings says what storing does, and stores nothing; the same file again is 90 repeats', async () => {
    const house = startHouse();
    const exchange = exchangeOf(house);
    const dry = await exchange.importFrom(bytesOf(minutes(90)), { ...ORDER, dryRun: true });
    expect(dry).toMatchObject({
      rows: 90,
      readings: 90,
      stored: 90,
      repeats: 0,
      conflicts: 0,
      newPlace: 'logger',
    });
    expect([storedOf(house.store), house.store.places.all()]).toEqual([0, []]);
    const first = await exchange.importFrom(bytesOf(minutes(90)), ORDER);
    expect(first).toEqual({ ...dry, dryRun: false });
    for (const dryRun of [true, false]) {
      const again = await exchange.importFrom(bytesOf(minutes(90)), { ...ORDER, dryRun });
      expect(again).toMatchObject({ stored: 0, repeats: 90, conflicts: 0, newPlace: null });
    }
    expect(storedOf(house.store)).toBe(90);
  });

  test('makes the place and its probes as a first contact would, and the newest reading is shown', async () => {
    const house = startHouse();
    await exchangeOf(house).importFrom(bytesOf(minutes(3, { valueC: 22 })), ORDER);
    expect(house.daemon.queries.places()).toMatchObject([
      { id: 'logger', targets: TARGET_SHEET_FILE.targets },
    ]);
    expect(house.daemon.queries.now('logger').quantities.airTemperatureC).toMatchObject({ value: 22 });
    expect(house.sent.map(({ kind }) => kind)).toContain('place');
  });

  test('another value at a stored time is a conflict; the first stays, in a dry run as in earnest', async () => {
    const house = startHouse();
    const exchange = exchangeOf(house);
    await exchange.importFrom(bytesOf(minutes(5, { valueC: 20 })), ORDER);
    for (const dryRun of [true, false]) {
      const report = await exchange.importFrom(bytesOf(minutes(5, { valueC: 21 })), { ...ORDER, dryRun });
      expect(report).toMatchObject({ stored: 0, repeats: 0, conflicts: 5 });
    }
    expect(house.store.probes.all()).toMatchObject([{ conflicts: 5 }]);
    expect(house.daemon.queries.now('logger').quantities.airTemperatureC).toMatchObject({ value: 20 });
  });

  test('raises no alarm: 3 h at 35 °C up to now, above the ceiling of 26.7 °C, then 1 h of silence and a restart', async () => {
    const house = startHouse();
    const exchange = exchangeOf(house);
    await exchange.importFrom(bytesOf(minutes(180, { lastMs: START_MS })), ORDER);
    house.hand.pass(HOUR_MS);
    expect(house.daemon.queries.alarms()).toEqual([]);
    house.daemon.stop();
    const restarted = startHouse({ store: house.store, hand: house.hand });
    restarted.hand.pass(HOUR_MS);
    expect(restarted.daemon.queries.alarms()).toEqual([]);
  });

  test('once a probe from a file reports by itself, its silence of more than 5 min counts', async () => {
    const house = startHouse();
    await exchangeOf(house).importFrom(bytesOf(minutes(10, { valueC: 22 })), ORDER);
    await house.report([airRecord(22)], 'logger');
    house.hand.pass(6 * 60_000);
    expect(house.daemon.queries.alarms()).toMatchObject([{ id: 'logger.no-data', state: 'unacknowledged' }]);
  });

  test('the half hour that Lord Howe repeats is asked about: 2 rows are counted and not stored, and stored once it is said', async () => {
    const house = startHouse();
    const exchange = exchangeOf(house);
    const text = [
      'time,air/temperature [°C]',
      '2026-04-05 01:15,20',
      '2026-04-05 01:45,21',
      '2026-04-05 01:45,22',
      '2026-04-05 02:15,23',
    ].join('\n');
    // IANA, recalled: on the first Sunday of April 02:00 becomes 01:30
    const order = { ...ORDER, zone: 'Australia/Lord_Howe' };
    const asked = await exchange.importFrom(bytesOf(text), order);
    expect(asked).toMatchObject({ stored: 2, repeatedHour: { rows: 2, lines: [3, 4], taken: null } });
    const imported = await exchange.importFrom(bytesOf(text), { ...order, repeatedHour: 'second' });
    expect(imported).toMatchObject({
      stored: 1,
      repeats: 2,
      conflicts: 1,
      repeatedHour: { rows: 2, taken: 'second' },
    });
  });

  test('while something is undecided, nothing is read and nothing stored', async () => {
    const house = startHouse();
    const report = await exchangeOf(house).importFrom(
      bytesOf('time,Temperature\n2026-05-01T10:00:00Z,20\n'),
      ORDER,
    );
    expect(report).toMatchObject({
      rows: 0,
      stored: 0,
      mapping: null,
      undecided: [expect.stringContaining('unit')],
    });
    expect(house.store.places.all()).toEqual([]);
  });

  test('5,000 readings are stored and sealed, and answer as if they had been sent', async () => {
    const house = startHouse();
    const report = await exchangeOf(house).importFrom(bytesOf(minutes(5_000)), ORDER);
    expect(report).toMatchObject({ stored: 5_000 });
    expect(storedOf(house.store)).toBe(5_000);
    const [probe] = house.store.probes.all();
    // the last reading is at 09:00, in an hour that is not over for 10 min yet
    expect(house.store.journal.openHours(probe?.id ?? 0)).toEqual([(START_MS - HOUR_MS) / HOUR_MS]);
    const span = { fromMs: START_MS - 12 * HOUR_MS, toMs: START_MS - 2 * HOUR_MS };
    const { air } = house.daemon.queries.exposures('logger', span);
    // 10 h at 35 °C against a ceiling of 26.7 °C are 10 h and 83 °C·h over it
    expect(air).toMatchObject({ coveredHours: 10, hoursOverCeiling: expect.closeTo(10, 9) });
    expect(air.degreeHoursOverCeiling).toBeCloseTo(83, 9);
  });
});

describe('an import that fails', () => {
  test('at any write leaves whole transactions, and the same file again completes it', async () => {
    for (const failAt of [1, 2, 3, 4, 60, 500, 3_000]) {
      const inner = openStore({ file: databaseFile(), nowMs: START_MS });
      const failing = failingStore(inner);
      const house = startHouse({ store: failing.store, hand: clockByHand(START_MS) });
      const exchange = exchangeOf(house);
      failing.failAt(failAt);
      const fault = await faultOf(exchange.importFrom(bytesOf(minutes(4_000)), ORDER));
      expect(fault.code).toBe('store-failed');
      expect(exchange.importProgress()).toMatchObject({ state: 'failed', error: fault.message });
      failing.mend();
      const kept = storedOf(house.store);
      expect(kept).toBe(exchange.importProgress()?.stored ?? -1);
      expect(kept).toBeLessThan(failAt);
      const report = await exchange.importFrom(bytesOf(minutes(4_000)), ORDER);
      expect([report.stored, report.repeats]).toEqual([4_000 - kept, kept]);
      expect(storedOf(house.store)).toBe(4_000);
      house.daemon.stop();
    }
  });

  test(`a file whose bytes end early leaves a multiple of whole rows, none of them lost, at most ${MAX_BATCH} a transaction`, async () => {
    const house = startHouse();
    const exchange = exchangeOf(house);
    async function* broken() {
      yield* bytesOf(minutes(1_000));
      throw new Error('the connection was lost');
    }
    await expect(exchange.importFrom(broken(), ORDER)).rejects.toThrow('the connection was lost');
    const kept = storedOf(house.store);
    expect(kept).toBe(exchange.importProgress()?.stored);
    const report = await exchange.importFrom(bytesOf(minutes(1_000)), ORDER);
    expect(report).toMatchObject({ stored: 1_000 - kept, repeats: kept });
  });

  test.each([
    [{ device: 'no/device' }, 'can be no device'],
    [{ zone: 'Mars/Olympus' }, 'no IANA time zone'],
  ])('%j is refused with bad-request', async (wrong, words) => {
    const fault = await faultOf(
      exchangeOf(startHouse()).importFrom(bytesOf(minutes(1)), { ...ORDER, ...wrong }),
    );
    expect([fault.code, fault.message]).toEqual(['bad-request', expect.stringContaining(words)]);
  });

  test('bytes that are no text are refused with bad-request; UTF-16 with its mark is read', async () => {
    const exchange = exchangeOf(startHouse());
    async function* latin1() {
      yield Uint8Array.from([0x74, 0xb0, 0x0a]);
    }
    expect((await faultOf(exchange.importFrom(latin1(), ORDER))).code).toBe('bad-request');
    async function* utf16() {
      yield Buffer.from(`\uFEFF${minutes(2)}`, 'utf16le');
    }
    expect(await exchange.importFrom(utf16(), ORDER)).toMatchObject({ stored: 2 });
  });

  test('a 2nd file while one is being read is refused', async () => {
    const exchange = exchangeOf(startHouse());
    const first = exchange.importFrom(bytesOf(minutes(500)), ORDER);
    expect((await faultOf(exchange.importFrom(bytesOf(minutes(1)), ORDER))).message).toContain(
      'Another file',
    );
    expect(await first).toMatchObject({ stored: 500 });
  });

  test(`a file of SenML with ${MAX_PROBES_PER_DEVICE + 1} probes is refused`, async () => {
    const records = Array.from({ length: MAX_PROBES_PER_DEVICE + 1 }, (_, i) => ({
      n: `p${i}`,
      v: 1,
      t: START_MS / 1_000,
    }));
    const file = bytesOf(records.map((record) => JSON.stringify([record])).join('\n'));
    const fault = await faultOf(exchangeOf(startHouse()).importFrom(file, { ...ORDER, as: 'senml' }));
    expect([fault.code, fault.details]).toEqual([
      'bad-request',
      { device: 'logger', room: MAX_PROBES_PER_DEVICE },
    ]);
  });
});
