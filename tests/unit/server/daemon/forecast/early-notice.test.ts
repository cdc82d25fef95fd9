import { describe, expect, test } from 'vitest';
import { alarmWords } from '../../../../../shared/words/alarm.ts';
import { clockByHand, comingRoundEvery } from '../../support/hand.ts';
import { type SentRecord, startHouse } from '../../support/house.ts';

const MIN_MS = 60_000;
const DAY_MS = 1_440 * MIN_MS;
/** Midnight six days before the day of the notice. */
const FIRST_MS = Date.UTC(2026, 4, 20);
const PLACE = 'bench-1';
const ID = `${PLACE}.ceiling-expected`;

/** Air that follows the sun each day: coolest at night, highest at 14:00, over 26.7 °C from about 11:40 on when `peakC` is 30. */
function airC(tMs: number, peakC: number): number {
  const hour = (tMs % DAY_MS) / (60 * MIN_MS);
  const sun = Math.max(0, Math.sin(((hour - 6) / 16) * Math.PI));
  // what no sensor repeats exactly
  const noise = 0.1 * Math.sin(tMs / 777_777);
  return 18 + (peakC - 18) * sun ** 2 + noise;
}

function records(fromMs: number, toMs: number, peakOf: (day: number) => number): SentRecord[] {
  const found: SentRecord[] = [];
  for (let tMs = fromMs; tMs <= toMs; tMs += 10 * MIN_MS) {
    const day = Math.floor((tMs - FIRST_MS) / DAY_MS);
    found.push({ n: 'air/temperature', u: 'Cel', v: airC(tMs, peakOf(day)), t: tMs / 1000 });
  }
  return found;
}

/** Six days whose peaks differ, and a seventh that is lived through from 08:00 to 16:00. */
async function houseOfTheDay(peakC: number, settings = {}) {
  const peaks = [30, 27, 31, 29, 28, 30, peakC];
  const peakOf = (day: number) => peaks[day] ?? 25;
  const dayMs = FIRST_MS + 6 * DAY_MS;
  const hand = comingRoundEvery(clockByHand(dayMs + 8 * 60 * MIN_MS), MIN_MS);
  const house = startHouse({ hand });
  const past = records(FIRST_MS, hand.clock.nowMs(), peakOf);
  for (let n = 0; n < past.length; n += 400) await house.report(past.slice(n, n + 400));
  house.daemon.orders.patchPlace(PLACE, { settings: { alarms: settings } });
  for (let n = 0; n < 8 * 6; n++) {
    hand.pass(10 * MIN_MS);
    await house.report(records(hand.clock.nowMs(), hand.clock.nowMs(), peakOf));
  }
  const events = house.daemon.world.alarms.has(ID) ? house.daemon.queries.alarmEvents(ID) : [];
  return { house, hand, dayMs, events: events.toSorted((a, b) => a.atMs - b.atMs) };
}

describe('an early notice about the ceiling', () => {
  test('comes 20 to 75 min before the air is over it, of low priority, with when; and ends as the alarm begins', async () => {
    const { house, dayMs, events } = await houseOfTheDay(30);
    const [raised, ...later] = events;
    expect(raised?.transition).toBe('raised');
    const alarm = house.daemon.queries.alarms().find(({ id }) => id === ID);
    expect(alarm).toMatchObject({
      rule: 'ceiling-expected',
      priority: 'low',
      facts: { kind: 'ceiling-expected' },
    });
    const over = house.daemon.queries.alarms().find(({ rule }) => rule === 'air-over-ceiling');
    const overMs = over?.raisedAtMs ?? 0;
    const leadMin = (overMs - (raised?.atMs ?? 0)) / MIN_MS;
    expect(leadMin).toBeGreaterThanOrEqual(20);
    expect(leadMin).toBeLessThanOrEqual(80);
    expect(later.map(({ transition }) => transition)).toContain('returned');
    expect(overMs).toBeGreaterThan(dayMs);
    const facts = alarm?.facts;
    if (facts?.kind !== 'ceiling-expected') throw new Error('no facts');
    expect(Math.abs(facts.expectedMs - overMs)).toBeLessThan(30 * MIN_MS);
    expect(facts.earliestMs).toBeLessThanOrEqual(facts.expectedMs);
    expect(house.daemon.queries.earlyNotices()).toMatchObject([
      { placeId: PLACE, hits: 1, wrong: 0, heldBack: false },
    ]);
  });

  test('does not come on a day that stays at 22 °C, nor where the place switched it off', async () => {
    expect((await houseOfTheDay(22)).events).toEqual([]);
    expect((await houseOfTheDay(30, { 'ceiling-expected': { on: false } })).events).toEqual([]);
  });

  test('says when in one sentence, from when to when, if the sun stays', () => {
    const at = (hour: number, min: number) => Date.UTC(2026, 5, 1, hour, min);
    const facts = {
      kind: 'ceiling-expected',
      valueC: 24.1,
      ceilingC: 26.7,
      expectedMs: at(13, 40),
      earliestMs: at(13, 25),
      latestMs: at(14, 10),
      byDay: true,
      atMs: at(12, 50),
    } as const;
    const reader = { unit: 'C', timeZone: 'UTC', nowMs: at(12, 51) } as const;
    expect(sentenceOf(facts, reader)).toBe(
      'Mist bench: air reaches its ceiling of 26.7 °C at 13:40 (13:25–14:10) if the sun stays.',
    );
    expect(sentenceOf({ ...facts, latestMs: null, byDay: false }, reader)).toBe(
      'Mist bench: air reaches its ceiling of 26.7 °C at 13:40 (13:25 or later) if nothing changes.',
    );
  });
});

type Alarm = Parameters<typeof alarmWords>[0];

function sentenceOf(facts: Alarm['facts'], reader: Parameters<typeof alarmWords>[1]): string {
  const alarm = {
    id: ID,
    placeId: PLACE,
    placeName: 'Mist bench',
    rule: 'ceiling-expected',
    priority: 'low',
    state: 'unacknowledged',
    facts,
  } as unknown as Alarm;
  return alarmWords(alarm, reader).headline;
}
