import { describe, expect, test } from 'vitest';
import { forecastSchema } from '../../../../../shared/wire/places/forecast.ts';
import { historyOf } from '../../../../truth/skill/house.ts';
import { clockByHand } from '../../support/hand.ts';
import { type SentRecord, startHouse } from '../../support/house.ts';
import { wholeOf } from '../../support/whole.ts';

const MIN_MS = 60_000;
const STEP_MS = 10 * MIN_MS;
const DAY_MS = 144 * STEP_MS;
/** The seven days of the open record are read as if they were these. */
const FIRST_MS = Date.UTC(2026, 4, 20);
const PLACE = 'bench-1';
const kitchen = historyOf('kitchen', { from: 0, to: 7 });

type Change = {
  readonly toMs?: number;
  readonly spoiltAfterMs?: number;
  readonly jitterMs?: number;
  readonly gapFromMs?: number;
};

/** The kitchen's air and the outside as packs of a device, or what is made of them. */
function packs({
  toMs = FIRST_MS + 7 * DAY_MS,
  spoiltAfterMs = toMs,
  jitterMs = 0,
  gapFromMs = Number.POSITIVE_INFINITY,
}: Change = {}): SentRecord[][] {
  const [outside] = kitchen.drivers;
  const all = [...kitchen.values].flatMap((air, n): SentRecord[] => {
    const tMs = FIRST_MS + n * STEP_MS + Math.round(jitterMs * Math.sin(n * 7));
    const inGap = tMs >= gapFromMs && tMs < gapFromMs + 300 * MIN_MS;
    if (tMs > toMs || inGap || Number.isNaN(air)) return [];
    const wrong = tMs > spoiltAfterMs ? 9 + (n % 5) : 0;
    const t = tMs / 1000;
    return [
      { n: 'air/temperature', u: 'Cel', v: air + wrong, t },
      { n: 'outside/temperature', u: 'Cel', v: (outside?.values[n] ?? 0) - wrong, t },
    ];
  });
  return Array.from({ length: Math.ceil(all.length / 400) }, (_, n) => all.slice(n * 400, (n + 1) * 400));
}

async function houseAt(nowMs: number, change: Change = {}) {
  const hand = clockByHand(FIRST_MS + 7 * DAY_MS);
  const house = startHouse({ hand });
  for (const pack of packs(change)) await house.report(pack);
  const { queries } = house.daemon;
  const parts = (atMs: number | null) => queries.forecast(PLACE, { quantity: 'airTemperatureC', atMs });
  const ask = (atMs: number | null = nowMs) => wholeOf(parts(atMs)).answer;
  return { house, hand, ask, parts, queries };
}

const AT_MS = FIRST_MS + 5 * DAY_MS + 14 * 60 * MIN_MS + 3 * MIN_MS;

describe('the forecast of a place', () => {
  test('has 24 points five minutes apart, each within its bounds, its skill at 60 min, and the ceiling', async () => {
    const { ask } = await houseAt(AT_MS);
    const answer = forecastSchema.parse(ask());
    expect(answer.points.map(({ t }) => Date.parse(t) - AT_MS)).toEqual(
      Array.from({ length: 24 }, (_, n) => (n + 1) * 5 * MIN_MS),
    );
    for (const { value, low80, high80 } of answer.points) {
      expect(low80).toBeLessThanOrEqual(value);
      expect(high80).toBeGreaterThanOrEqual(value);
      expect(high80 - low80).toBeGreaterThan(0);
    }
    expect(answer.at).toBe(new Date(AT_MS).toISOString());
    expect(answer.skill).toMatchObject({ horizonMin: 60, days: 4 });
    expect(answer.limit).toMatchObject({ kind: 'air-over-ceiling', value: 26.7, reachedAt: null });
    expect(answer.shown).toBe(answer.reason === null);
  });

  test('at a time in the past is the same, to the last bit, whatever was read later, or nothing', async () => {
    const asked = [0, 1, 9, 600, 1337].map((min) => AT_MS + min * MIN_MS);
    const answersOf = async (change: (atMs: number) => Change) => {
      const answers: unknown[] = [];
      for (const atMs of asked) answers.push((await houseAt(atMs, change(atMs))).ask());
      return answers;
    };
    const whole = await answersOf(() => ({}));
    expect(whole.map((answer) => forecastSchema.parse(answer).points.length)).toEqual([24, 24, 24, 24, 24]);
    expect(await answersOf((spoiltAfterMs) => ({ spoiltAfterMs }))).toEqual(whole);
    expect(await answersOf((toMs) => ({ toMs }))).toEqual(whole);
    // and it does change with what was read before
    expect(await answersOf((atMs) => ({ spoiltAfterMs: atMs - STEP_MS }))).not.toEqual(whole);
  });

  test('of now is learned beside other work, and is what a question about this moment gives', async () => {
    const { house, hand, ask } = await houseAt(0);
    expect(house.daemon.forecasts.held(PLACE, 'airTemperatureC')).toBeNull();
    for (let n = 0; n < 400; n++) hand.pass(250);
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 21, t: hand.clock.nowMs() / 1000 - 60 }]);
    const held = house.daemon.forecasts.held(PLACE, 'airTemperatureC');
    expect(held?.skill?.days).toBe(6);
    expect(ask(null)).toEqual(held);
    expect(ask(hand.clock.nowMs())).toEqual(held);
  });

  test('is made in a part a day that is read and a part a day that is fitted; readings are taken between', async () => {
    const { house, parts, ask } = await houseAt(AT_MS);
    const atMs = AT_MS + 60 * MIN_MS;
    const first = parts(atMs);
    for (let n = 0; n < 4; n++) expect(first.next().done).toBe(false);
    // 5 days on record are read one by one, the fit of 5 midnights and today's one by one
    expect(wholeOf(parts(AT_MS - DAY_MS)).parts).toBeGreaterThanOrEqual(10);
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 21.5, t: (FIRST_MS + 7 * DAY_MS) / 1000 }]);
    expect(house.daemon.queries.now(PLACE).quantities.airTemperatureC?.value).toBe(21.5);
    expect(wholeOf(first).answer).toEqual(ask(atMs));
  });

  test('readings up to 4 min early or late, and with a gap of 5 h two days before, give one as well', async () => {
    const { ask } = await houseAt(AT_MS, { jitterMs: 4 * MIN_MS, gapFromMs: AT_MS - 2 * DAY_MS });
    const answer = ask();
    expect(answer.points).toHaveLength(24);
    expect(answer.points.every(({ value }) => Number.isFinite(value) && value > 15 && value < 30)).toBe(true);
  });

  test('is not given without a probe, in the first two days, and 16 min after the newest reading', async () => {
    const { ask, queries } = await houseAt(AT_MS, { toMs: AT_MS });
    const root = queries.forecast(PLACE, { quantity: 'rootZoneTemperatureC', atMs: AT_MS });
    expect(wholeOf(root).answer).toMatchObject({
      points: [],
      shown: false,
      reason: 'no-probe',
      limit: null,
      skill: null,
    });
    expect(ask(FIRST_MS + 20 * 60 * MIN_MS)).toMatchObject({ points: [], shown: false, reason: 'learning' });
    expect(ask(AT_MS + 12 * MIN_MS)).toMatchObject({ points: { length: 24 } });
    expect(ask(AT_MS + 13 * MIN_MS)).toMatchObject({ points: [], shown: false, reason: 'no-recent-reading' });
  });

  test('of a time to come is a bad request', async () => {
    const { ask } = await houseAt(AT_MS);
    expect(() => ask(FIRST_MS + 30 * DAY_MS)).toThrow(expect.objectContaining({ code: 'bad-request' }));
  });
});

describe('a record that is imported after the place was made', () => {
  test('gives a forecast of now at once, not from the next midnight on', async () => {
    const hand = clockByHand(FIRST_MS + 7 * DAY_MS);
    const house = startHouse({ hand });
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 21 }]);
    const { queries } = house.daemon;
    const ask = () => wholeOf(queries.forecast(PLACE, { quantity: 'airTemperatureC', atMs: null })).answer;
    expect(ask()).toMatchObject({ reason: 'learning', points: [] });
    for (const pack of packs()) await house.report(pack);
    expect(ask()).toMatchObject({ skill: { days: 6 } });
    expect(ask().points).toHaveLength(24);
  });
});
