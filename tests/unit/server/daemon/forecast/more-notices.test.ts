import { describe, expect, test } from 'vitest';
import { alarmWords } from '../../../../../shared/words/alarm.ts';
import { clockByHand, comingRoundEvery } from '../../support/hand.ts';
import { type SentRecord, startHouse } from '../../support/house.ts';

const MIN_MS = 60_000;
const HOUR_MS = 60 * MIN_MS;
const DAY_MS = 24 * HOUR_MS;
const FIRST_MS = Date.UTC(2026, 4, 20);
const READER = { unit: 'C', timeZone: 'UTC' } as const;

type House = ReturnType<typeof startHouse>;
const alarmOf = (house: House, rule: string) =>
  house.daemon.queries.alarms().find((alarm) => alarm.rule === rule);

describe('the early notice about a cold root zone', () => {
  const AIRS = [16, 10, 14, 18, 8, 12, 15, 9, 17, 11, 8];

  /** Held at 23 °C by day; by night it falls towards the air. Every ten minutes from the first midnight on. */
  function course(days: number, airs: readonly number[]): SentRecord[] {
    const found: SentRecord[] = [];
    let root = 23;
    for (let n = 0; n < days * 144; n++) {
      const isNight = n % 144 >= 120 || n % 144 < 36;
      const air = isNight ? (airs[Math.floor((n + 24) / 144)] ?? 12) : 22;
      root += isNight ? (air - root) * 0.004 : (23 - root) * 0.1;
      const t = (FIRST_MS + n * 10 * MIN_MS) / 1000;
      found.push({ n: 'air/temperature', u: 'Cel', v: air, t });
      found.push({ n: 'root/temperature', u: 'Cel', v: root + 0.04 * Math.sin(n * 7), t });
    }
    return found;
  }

  async function evening(airs: readonly number[]) {
    const all = course(11, airs);
    const startMs = FIRST_MS + 10 * DAY_MS + 15 * HOUR_MS;
    const hand = comingRoundEvery(clockByHand(startMs), MIN_MS);
    const house = startHouse({ hand });
    const past = all.filter(({ t = 0 }) => t * 1000 <= startMs);
    for (let n = 0; n < past.length; n += 400) await house.report(past.slice(n, n + 400));
    for (let n = 1; n <= 9 * 6 - 1; n++) {
      hand.pass(10 * MIN_MS);
      await house.report(all.filter(({ t }) => t === hand.clock.nowMs() / 1000));
    }
    return house;
  }

  test('comes in the evening of a cold night with the lowest by morning, and is of low priority', async () => {
    const house = await evening(AIRS);
    const alarm = alarmOf(house, 'root-floor-expected');
    expect(alarm).toMatchObject({ priority: 'low', facts: { kind: 'floor-expected', floorC: 21.1 } });
    if (alarm?.facts?.kind !== 'floor-expected') throw new Error('no facts');
    // at 8 °C for ten hours it comes down to about 19.8 °C
    expect(alarm.facts.lowest?.valueC).toBeGreaterThan(19);
    expect(alarm.facts.lowest?.valueC).toBeLessThan(20.8);
    expect(alarmWords(alarm, { ...READER, nowMs: alarm.facts.atMs }).headline).toMatch(
      /^bench-1: root zone falls below 21\.1 °C, the low edge of its band, (before 06:00 on Sun 31 May|at about \d\d:\d\d) if nothing changes\.$/,
    );
    // the cold nights before came without one, as nothing watched then
    const [counted] = house.daemon.queries
      .earlyNotices()
      .filter(({ rule }) => rule === 'root-floor-expected');
    expect(counted).toMatchObject({ hits: 0, wrong: 0, heldBack: false });
    expect(counted?.misses).toBeGreaterThanOrEqual(4);
  });

  test('does not come before a night at 19 °C', async () => {
    const house = await evening([...AIRS.slice(0, 10), 19, 19]);
    expect(alarmOf(house, 'root-floor-expected')).toBeUndefined();
  });
});

describe('the early notice about leaves that dry', () => {
  async function misted({ ppfd, everyMin }: { readonly ppfd: number; readonly everyMin: number }) {
    const startMs = FIRST_MS + 8 * HOUR_MS;
    const hand = comingRoundEvery(clockByHand(startMs), MIN_MS);
    const house = startHouse({ hand });
    for (let min = 0; min < 200; min += 2) {
      const t = hand.clock.nowMs() / 1000;
      const pulse = min % everyMin === 0;
      await house.report([
        { n: 'air/temperature', u: 'Cel', v: 28 + 0.1 * Math.sin(min), t },
        { n: 'air/humidity', u: '%RH', v: 60 + 0.3 * Math.sin(min / 3), t },
        { n: 'light/ppfd', u: 'umol/m2/s', v: ppfd + Math.sin(min), t },
        { n: 'mist/valve', u: '/', v: pulse ? 1 : 0, t: t - (pulse ? 10 : 0) },
      ]);
      hand.pass(2 * MIN_MS);
    }
    return house;
  }

  test('comes where mist every 40 min is too seldom for 600 µmol, and says by how much', async () => {
    const house = await misted({ ppfd: 600, everyMin: 40 });
    const alarm = alarmOf(house, 'film-drying-expected');
    expect(alarm).toMatchObject({ priority: 'low', facts: { kind: 'film-expected', everyMin: 40 } });
    if (alarm?.facts?.kind !== 'film-expected') throw new Error('no facts');
    expect(alarm.facts.filmMin).toBeLessThan(40);
    expect(alarm.facts.dryMs).toBeLessThan(alarm.facts.nextMs);
    expect(alarmWords(alarm, { ...READER, nowMs: alarm.facts.atMs }).headline).toMatch(
      /^bench-1: leaves dry at about \d\d:\d\d, \d+ min before the next mist\.$/,
    );
  });

  test('does not come with mist every 10 min, nor in the dark', async () => {
    expect(alarmOf(await misted({ ppfd: 600, everyMin: 10 }), 'film-drying-expected')).toBeUndefined();
    expect(alarmOf(await misted({ ppfd: 0, everyMin: 40 }), 'film-drying-expected')).toBeUndefined();
  });
});
