import fc from 'fast-check';
import { expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { Store } from '../../../../server/ports.ts';
import { clockByHand, type Hand } from '../support/hand.ts';
import { databaseFile, packOf, type SentRecord, startHouse, TARGET_SHEET_FILE } from '../support/house.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const FROM_MS = Date.UTC(2026, 2, 1);
const ARRIVAL_MS = FROM_MS + 10 * DAY_MS;
const LATER_MS = FROM_MS + 60 * DAY_MS;
const SPAN = { fromMs: FROM_MS, toMs: FROM_MS + 3 * DAY_MS };

function house(hand: Hand, file: string, timeZone = 'UTC') {
  return startHouse({ hand, timeZone, keepRawDays: 35, store: openStore({ file, nowMs: 0 }) });
}

/** All turns of sealing, settling and dropping that are due. */
function rest(hand: Hand) {
  for (let i = 0; i < 60; i++) hand.pass(10_000);
}

const raw = (store: Store) =>
  store.journal
    .window({ probeIds: [1, 2, 3], ...SPAN })
    .reduce((sum, { timesMs }) => sum + timesMs.length, 0);

const reading = fc
  .record({ probe: fc.nat(2), second: fc.nat(30 * 360), tenths: fc.nat(290) })
  .map(({ probe, second, tenths }): SentRecord => {
    const t = FROM_MS / 1_000 + second * 10;
    if (probe === 0) return { n: 'air/temperature', u: 'Cel', v: 10 + tenths / 10, t };
    if (probe === 1) return { n: 'air/humidity', u: '%RH', v: 70 + tenths / 10, t };
    return { n: 'root/temperature', u: 'Cel', v: 10 + tenths / 10, t };
  });

test.each(['UTC', 'Asia/Kolkata'])(
  'exposures of 3 days and the views of minutes and hours are the same before and after readings went, in %s',
  async (zone) => {
    let dropped = 0;
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.array(reading, { minLength: 50, maxLength: 300 }), { minLength: 1, maxLength: 4 }),
        async (packs) => {
          const file = databaseFile();
          const early = clockByHand(ARRIVAL_MS);
          const first = house(early, file, zone);
          for (const pack of packs) await first.send(packOf(pack, { arrivedAtMs: ARRIVAL_MS }));
          const seen = ({ daemon, store }: typeof first) => ({
            // from midnight to midnight of the zone: whole parts only
            exposures: daemon.queries.exposures('bench-1', {
              fromMs: FROM_MS - (zone === 'UTC' ? 0 : 5.5 * HOUR_MS),
              toMs: SPAN.toMs - (zone === 'UTC' ? 0 : 5.5 * HOUR_MS),
            }),
            minutes: [1, 2, 3].map((id) => store.journal.minutes(id, SPAN)),
            hours: [1, 2, 3].map((id) => store.journal.hours(id, SPAN)),
          });
          const before = seen(first);
          first.daemon.stop();
          first.store.close();
          const late = clockByHand(LATER_MS);
          const second = house(late, file, zone);
          rest(late);
          expect(raw(second.store)).toBe(0);
          expect(seen(second)).toEqual(before);
          second.store.transaction(() => second.store.settled.forgetAll());
          expect(seen(second)).toEqual(before);
          second.daemon.stop();
          second.store.close();
          dropped++;
        },
      ),
      { numRuns: 15 },
    );
    expect(dropped).toBe(15);
  },
);

test('behind the horizon a pack is refused as beyond-retention, targets by date, and a spike of 1 reading stays', async () => {
  const file = databaseFile();
  const first = house(clockByHand(ARRIVAL_MS), file);
  const records = Array.from({ length: 360 }, (_, i) => ({
    n: 'air/temperature',
    u: 'Cel',
    v: i === 100 ? 38.25 : 21.5,
    t: FROM_MS / 1_000 + i * 10,
  }));
  await first.send(packOf(records, { arrivedAtMs: ARRIVAL_MS }));
  first.daemon.stop();
  first.store.close();
  const hand = clockByHand(LATER_MS);
  const { daemon, store, send } = house(hand, file);
  rest(hand);
  // 60 days on, 35 are kept: from the hour in which the turn ran, less 35 days
  const earliest = new Date(LATER_MS - 35 * DAY_MS).toISOString();
  await send(packOf(records.slice(0, 1), { arrivedAtMs: hand.clock.nowMs() }));
  expect(daemon.queries.refused().byCode).toEqual({ 'beyond-retention': 1 });
  expect(daemon.queries.refused().refused[0]?.reason).toContain(earliest);
  const order = { targets: TARGET_SHEET_FILE.targets, fromMs: FROM_MS };
  // 49 hours before that exposures are settled for good, and another 49 before readings went
  const behind = (hours: number) => new Date(LATER_MS - 35 * DAY_MS - hours * HOUR_MS).toISOString();
  expect(daemon.queries.place('bench-1').countedBefore).toBe(behind(49));
  const hourAsked = { fromMs: FROM_MS, toMs: FROM_MS + HOUR_MS };
  const answer = daemon.queries.series('bench-1', { ...hourAsked, quantity: 'dewPointC', points: 10 });
  expect(answer.minutesBefore).toBe(behind(98));
  expect(() => daemon.orders.setTargets('bench-1', order)).toThrow(earliest);
  const query = { fromMs: FROM_MS, toMs: FROM_MS + HOUR_MS, quantity: 'airTemperatureC' } as const;
  const maxOf = (points: number | null) =>
    Math.max(...daemon.queries.series('bench-1', { ...query, points }).points.map(({ max }) => max ?? 0));
  expect([maxOf(null), maxOf(20)]).toEqual([38.25, 38.25]);
  const settings = { maxGapMs: 60_000 };
  const before = daemon.queries.exposures('bench-1', SPAN);
  daemon.orders.patchPlace('bench-1', { settings });
  expect(daemon.queries.exposures('bench-1', SPAN)).toEqual(before);
  expect(raw(store)).toBe(0);
  daemon.stop();
  store.close();
});
