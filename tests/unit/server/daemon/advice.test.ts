import { describe, expect, test } from 'vitest';
import { heatPaidSchema, helpedSchema, mistAdviceSchema } from '../../../../shared/wire/places/advice.ts';
import { clockByHand } from '../support/hand.ts';
import { type SentRecord, startHouse } from '../support/house.ts';
import { wholeOf } from '../support/whole.ts';

const MIN_MS = 60_000;
const DAY_MS = 1_440 * MIN_MS;
const FIRST_MS = Date.UTC(2026, 4, 20);
const DAYS = 8;
const PLACE = 'bench-1';
/** Clouds of each day. */
const CLEAR = [0.4, 1, 0.6, 0.9, 0.3, 0.8, 0.5, 1];

/** A place that follows the outside by a third of the way an hour and gains 1 K an hour for each 100 µmol. */
function record(gain: number): SentRecord[] {
  const found: SentRecord[] = [];
  let air = 16;
  for (let n = 0; n < DAYS * 144; n++) {
    const sun = Math.max(0, Math.sin(((n % 144) / 84 - 36 / 84) * Math.PI));
    const ppfd = 700 * sun * (CLEAR[Math.floor(n / 144)] ?? 1);
    const outside = 12 + 5 * sun;
    air += ((0.33 * (outside - air) + gain * ppfd + 0.6) * 10) / 60;
    const t = (FIRST_MS + n * 10 * MIN_MS) / 1000;
    found.push(
      { n: 'air/temperature', u: 'Cel', v: air, t },
      { n: 'air/humidity', u: '%RH', v: 70 - 25 * sun, t },
      { n: 'outside/temperature', u: 'Cel', v: outside, t },
      { n: 'light/ppfd', u: 'umol/m2/s', v: ppfd, t },
      { n: 'root/temperature', u: 'Cel', v: 23, t },
      { n: 'heat/power', u: 'W', v: 50, t },
    );
  }
  return found;
}

async function houseWith(gain: number) {
  // noon of the day after the record
  const house = startHouse({ hand: clockByHand(FIRST_MS + DAYS * DAY_MS + DAY_MS / 2) });
  const all = record(gain);
  for (let n = 0; n < all.length; n += 480) await house.report(all.slice(n, n + 480));
  return house.daemon;
}

describe('the advice of a place with eight days on record', () => {
  test('half a shade would have kept the peak of yesterday 4 to 12 K lower, and fewer hours over the ceiling', async () => {
    const { queries } = await houseWith(0.01);
    const ask = (transmission: number) =>
      helpedSchema.parse(wholeOf(queries.wouldHaveHelped(PLACE, { what: 'shade', transmission })).answer);
    const answer = ask(0.5);
    expect(answer).toMatchObject({ reason: null, date: '2026-05-27', ceilingC: 26.7 });
    const less = (answer.as?.peakC ?? 0) - (answer.would?.peakC ?? 0);
    expect(less).toBeGreaterThan(4);
    expect(less).toBeLessThan(12);
    expect(answer.would?.hoursOverCeiling).toBeLessThan(answer.as?.hoursOverCeiling ?? 0);
    expect(answer.would?.low80C).toBeLessThanOrEqual(answer.would?.peakC ?? 0);
    expect(ask(0.3).would?.peakC).toBeLessThan(answer.would?.peakC ?? 0);
    // a cover that was never open says nothing of vents
    const vent = wholeOf(queries.wouldHaveHelped(PLACE, { what: 'vent', transmission: 1 })).answer;
    expect(vent).toMatchObject({ would: null, reason: 'no-vents' });
  });

  test('where light does nothing, no shade is judged', async () => {
    const { queries } = await houseWith(-0.002);
    const { answer } = wholeOf(queries.wouldHaveHelped(PLACE, { what: 'shade', transmission: 0.5 }));
    expect(answer.would).toBeNull();
    expect(['learning', 'no-skill']).toContain(answer.reason);
  });

  test('heat of 50 W is 1.2 kWh a day, and holds a root zone of 23 °C above the air', async () => {
    const { queries } = await houseWith(0.01);
    const span = { fromMs: FIRST_MS + DAY_MS, toMs: FIRST_MS + 3 * DAY_MS };
    const paid = heatPaidSchema.parse(wholeOf(queries.heatPaid(PLACE, { ...span, ratedW: null })).answer);
    expect(paid).toMatchObject({ how: 'measured', rooted: null, kWhPerRooted: null, reason: null });
    expect(paid.kWh).toBeCloseTo(2.4, 6);
    expect(paid.heldKh).toBeGreaterThan(50);
  });

  test('mist is advised from the film on its leaves, with what a fixed and a stepped timer would have used', async () => {
    const daemon = await houseWith(0.01);
    const ask = () => mistAdviceSchema.parse(wholeOf(daemon.queries.mistAdvice(PLACE, { days: 7 })).answer);
    expect(ask()).toMatchObject({ reason: 'no-interval', timers: [] });
    daemon.orders.patchPlace(PLACE, { settings: { mistEveryMin: 10 } });
    const advice = ask();
    const [fixed, stepped, advised] = advice.timers;
    expect(advice).toMatchObject({ reason: null, everyMin: 10 });
    expect(fixed?.pulses).toBeGreaterThan(900);
    expect(stepped?.pulses).toBeLessThan(fixed?.pulses ?? 0);
    expect(advised?.pulses).toBeLessThan(stepped?.pulses ?? 0);
    expect(advised?.dryMinutes).toBe(0);
    expect(advice.waterSavedShare).toBeGreaterThan(0.5);
    expect(advice.assumptions.length).toBeGreaterThan(3);
  });
});
