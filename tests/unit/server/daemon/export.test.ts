import { describe, expect, test } from 'vitest';
import type { Exchange } from '../../../../server/ports.ts';
import { bytesOf, exchangeOf, HOUR_MS, minutes, ORDER } from '../support/exchange.ts';
import { airRecord, START_MS, startHouse } from '../support/house.ts';

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
    await house.report(
      [2, 1, 0].map((ageS) => airRecord(22, { ageS })),
      'logger',
    );
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
