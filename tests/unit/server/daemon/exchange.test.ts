import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { systemTimers } from '../../../../server/adapters/system/clock.ts';
import { createExchange } from '../../../../server/daemon/exchange/exchange.ts';
import { MAX_BATCH } from '../../../../server/domain/exchange/batch.ts';
import { MAX_PROBES_PER_DEVICE } from '../../../../server/domain/places/first-contact.ts';
import type { Exchange, ImportOrder, Store } from '../../../../server/ports.ts';
import { Fault } from '../../../../shared/faults.ts';
import { failingStore } from '../support/failing-store.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, databaseFile, type House, SHEET, START_MS, startHouse } from '../support/house.ts';

const HOUR_MS = 3_600_000;
const iso = (atMs: number) => new Date(atMs).toISOString();
const ORDER: ImportOrder = {
  ...{
    as: 'csv',
    device: 'logger',
    dryRun: false,
    mapping: null,
    zone: null,
    repeatedHour: null,
    totalBytes: null,
  },
};

async function* bytesOf(text: string, pieceBytes = 4_096): AsyncGenerator<Uint8Array> {
  const bytes = new TextEncoder().encode(text);
  for (let at = 0; at < bytes.length; at += pieceBytes) yield bytes.subarray(at, at + pieceBytes);
}

/** Air temperatures a minute apart up to an hour ago, as a logger writes them. */
function minutes(count: number, { lastMs = START_MS - HOUR_MS, valueC = 35 } = {}): string {
  const rows = Array.from({ length: count }, (_, i) => `${iso(lastMs - (count - 1 - i) * 60_000)},${valueC}`);
  return ['time,air/temperature [°C]', ...rows].join('\n');
}

/** The exchange of a house, with real pauses between its transactions. */
function exchangeOf({ daemon, store, hand }: House, over: Store = store): Exchange {
  const { world, queries } = daemon;
  return createExchange({
    ...{ world, store: over, timeZone: 'UTC', sheet: SHEET, clock: hand.clock, timers: systemTimers },
    ...{ exposures: queries.exposures, placeChanged: daemon.placeChanged },
  });
}

const storedOf = (store: Store): number =>
  store.probes
    .all()
    .flatMap(({ id }) => store.journal.window({ probeIds: [id], fromMs: 0, toMs: START_MS * 2 }))
    .reduce((sum, { timesMs }) => sum + timesMs.length, 0);

async function faultOf(work: Promise<unknown>): Promise<Fault> {
  try {
    await work;
  } catch (cause) {
    if (cause instanceof Fault) return cause;
    throw cause;
  }
  throw new Error('it worked');
}

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
    expect(house.daemon.queries.places()).toMatchObject([{ id: 'logger', targets: SHEET.targets }]);
    expect(house.daemon.queries.now('logger').quantities.airTemperatureC).toMatchObject({ value: 22 });
    expect(house.told.map(({ kind }) => kind)).toContain('place');
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

  test('once a probe from a file tells by itself, its silence of more than 5 min counts', async () => {
    const house = startHouse();
    await exchangeOf(house).importFrom(bytesOf(minutes(10, { valueC: 22 })), ORDER);
    await house.tell([airRecord(22)], 'logger');
    house.hand.pass(6 * 60_000);
    expect(house.daemon.queries.alarms()).toMatchObject([{ id: 'logger.no-data', state: 'unacknowledged' }]);
  });

  test('the repeated hour is asked about: 2 rows are counted and not stored, and stored once it is said', async () => {
    const house = startHouse();
    const exchange = exchangeOf(house);
    const text = [
      'time,air/temperature [°C]',
      '2025-10-26 01:30,20',
      '2025-10-26 02:30,21',
      '2025-10-26 02:30,22',
      '2025-10-26 03:30,23',
    ].join('\n');
    const order = { ...ORDER, zone: 'Europe/Vienna' };
    const asked = await exchange.importFrom(bytesOf(text), order);
    expect(asked).toMatchObject({ stored: 2, repeatedHour: { rows: 2, lines: [3, 4], taken: null } });
    const told = await exchange.importFrom(bytesOf(text), { ...order, repeatedHour: 'second' });
    expect(told).toMatchObject({
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

  test('5,000 readings are stored and sealed, and answer as if they had been told', async () => {
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

describe('an export', () => {
  const textOf = (exchange: Exchange, query: Partial<Parameters<Exchange['exportOf']>[1]>): string =>
    [
      ...exchange.exportOf('logger', {
        what: 'readings',
        as: 'csv',
        by: 'day',
        fromMs: null,
        toMs: null,
        ...query,
      }).chunks,
    ]
      .map(({ text }) => text)
      .join('');

  test.each(['csv', 'senml'] as const)(
    'of 300 readings as %s is all repeats when it is imported again',
    async (as) => {
      const exchange = exchangeOf(startHouse());
      await exchange.importFrom(bytesOf(minutes(300)), ORDER);
      const text = textOf(exchange, { as });
      expect(await exchange.importFrom(bytesOf(text), { ...ORDER, as })).toMatchObject({
        stored: 0,
        repeats: 300,
      });
      const other = exchangeOf(startHouse());
      expect(await other.importFrom(bytesOf(text), { ...ORDER, as })).toMatchObject({
        stored: 300,
        conflicts: 0,
      });
    },
  );

  test('2 spans put end to end have each reading once, and the last of all is in the default span', async () => {
    const exchange = exchangeOf(startHouse());
    await exchange.importFrom(bytesOf(minutes(200)), ORDER);
    const cutMs = START_MS - HOUR_MS - 100 * 60_000;
    const [before, after] = [textOf(exchange, { toMs: cutMs }), textOf(exchange, { fromMs: cutMs })];
    const rows = (text: string) => text.trim().split('\r\n').slice(1);
    expect([rows(before).length, rows(after).length]).toEqual([99, 101]);
    expect([...rows(before), ...rows(after)]).toEqual(rows(textOf(exchange, {})));
  });

  test('exposures by hour sum up to those by day', async () => {
    const exchange = exchangeOf(startHouse());
    await exchange.importFrom(bytesOf(minutes(600)), ORDER);
    const covered = (by: 'day' | 'hour') => {
      const lines = textOf(exchange, { what: 'exposures', as: 'ndjson', by }).trim().split('\n');
      return lines.map((line) => JSON.parse(line).air.coveredHours as number);
    };
    // 600 readings a minute apart cover 599 min
    const sum = (hours: readonly number[]) => hours.reduce((total, h) => total + h, 0);
    expect(sum(covered('day'))).toBeCloseTo(599 / 60, 9);
    expect(sum(covered('hour'))).toBeCloseTo(599 / 60, 9);
    expect(covered('hour').length).toBeGreaterThan(9);
  });

  test('alarms have every event of the span, in the order it happened', async () => {
    const house = startHouse();
    await house.tell([airRecord(22)], 'logger');
    house.hand.pass(6 * 60_000);
    house.daemon.orders.acknowledge('logger.no-data');
    const text = textOf(exchangeOf(house), { what: 'alarms' });
    const rows = text
      .trim()
      .split('\r\n')
      .map((row) => row.split(','));
    expect(rows.map((row) => row[6])).toEqual(['transition', 'raised', 'acknowledged']);
    expect(
      textOf(exchangeOf(house), { what: 'alarms', fromMs: house.hand.clock.nowMs() + 1, toMs: START_MS * 2 }),
    ).toMatch(/^time[^\n]*\r\n$/);
  });

  test('SenML of alarms, an unknown place and a span that ends before it begins are refused', async () => {
    const exchange = exchangeOf(startHouse());
    await exchange.importFrom(bytesOf(minutes(1)), ORDER);
    expect(() => textOf(exchange, { what: 'alarms', as: 'senml' })).toThrow('SenML holds readings');
    expect(() => textOf(exchange, { fromMs: 2, toMs: 1 })).toThrow('`from` before `to`');
    expect(() =>
      exchange.exportOf('nowhere', { what: 'readings', as: 'csv', by: 'day', fromMs: null, toMs: null }),
    ).toThrow('no place "nowhere"');
  });
});
