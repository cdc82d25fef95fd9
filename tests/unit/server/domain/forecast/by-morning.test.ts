import { describe, expect, test } from 'vitest';
import {
  learnByMorning,
  lowestByMorning,
  type NightHistory,
} from '../../../../../server/domain/forecast/by-morning.ts';
import { STEP_MS, STEPS_A_DAY } from '../../../../../server/domain/forecast/history.ts';
import { seededNumbers } from '../../../../support/seeded.ts';

const DAY_MS = STEPS_A_DAY * STEP_MS;
const HOUR_MS = 3_600_000;
/** 20:00 to 06:00 of the day after the history. */
const nightAfter = (days: number) => ({
  fromMs: days * DAY_MS - 4 * HOUR_MS,
  toMs: days * DAY_MS + 6 * HOUR_MS,
});

/** A root zone that the mat holds at 23 °C by day and that falls towards the air by night, 3 % of the way each step. */
function history(days: number, airOf: (night: number) => number, seed = 1): NightHistory {
  const next = seededNumbers(seed);
  const root = new Float64Array(days * STEPS_A_DAY);
  const air = new Float64Array(root.length);
  let now = 23;
  for (let n = 0; n < root.length; n++) {
    const step = n % STEPS_A_DAY;
    const isNight = step >= 120 || step < 36;
    air[n] = isNight ? airOf(Math.floor((n + 24) / STEPS_A_DAY)) : 22;
    now = isNight ? now + ((air[n] as number) - now) * 0.004 : now + (23 - now) * 0.1;
    root[n] = now + 0.05 * (next() - 0.5);
  }
  return { startMs: 0, root, air, outside: null };
}

const AIRS = [16, 10, 14, 18, 8, 12, 15, 9, 17, 11, 13, 16, 10, 12, 7, 14];

function upTo({ root, air }: NightHistory, count: number): NightHistory {
  return { startMs: 0, root: root.slice(0, count), air: air?.slice(0, count) ?? null, outside: null };
}

describe('the lowest root zone until the morning', () => {
  const whole = history(16, (night) => AIRS[night] ?? 12);
  const tonight = nightAfter(15);
  const before = upTo(whole, 14 * STEPS_A_DAY);
  const learned = learnByMorning(before, tonight);

  test('is told at 22:00 within 0.5 K of what came, which lies within its bounds', () => {
    const at = 15 * STEPS_A_DAY - 12;
    const lowest = learned && lowestByMorning(learned, upTo(whole, at + 1), tonight.toMs);
    const came = Math.min(...whole.root.slice(at, 15 * STEPS_A_DAY + 37));
    expect(came).toBeLessThan(21.5);
    expect(Math.abs((lowest?.value ?? 0) - came)).toBeLessThan(0.5);
    expect(lowest?.low80).toBeLessThan(came);
    expect(lowest?.high80).toBeGreaterThan(came);
  });

  test('was better than "as now" in the nights before', () => {
    expect(learned?.skill.days).toBeGreaterThanOrEqual(10);
    expect(learned?.skill.maeK).toBeLessThan(0.5 * (learned?.skill.persistenceMaeK ?? 0));
  });

  test('uses nothing later: other readings after the moment give the same', () => {
    const at = 15 * STEPS_A_DAY - 12;
    const spoilt = { ...whole, root: whole.root.map((value, n) => (n > at ? 50 : value)) };
    const ask = (of: NightHistory) => learned && lowestByMorning(learned, upTo(of, at + 1), tonight.toMs);
    expect(ask(spoilt)).toEqual(ask(whole));
  });

  test('is not told with two nights on record, in the last 20 min, nor after a gap', () => {
    expect(learnByMorning(upTo(whole, 2 * STEPS_A_DAY), nightAfter(2))).toBeNull();
    const recent = upTo(whole, 15 * STEPS_A_DAY - 11);
    if (learned === null) throw new Error('nothing was learned');
    expect(lowestByMorning(learned, recent, (15 * STEPS_A_DAY - 12) * STEP_MS + 20 * 60_000)).toBeNull();
    const gap = {
      ...recent,
      root: recent.root.map((v, n) => (n === recent.root.length - 7 ? Number.NaN : v)),
    };
    expect(lowestByMorning(learned, gap, tonight.toMs)).toBeNull();
  });

  test('stays within 0.1 K of now where the mat holds it steady', () => {
    const steady = history(15, () => 23);
    const held = learnByMorning(steady, nightAfter(15));
    const recent = upTo(steady, 15 * STEPS_A_DAY - 11);
    const lowest = held && lowestByMorning(held, recent, nightAfter(15).toMs);
    if (lowest) expect(Math.abs(lowest.value - (recent.root.at(-1) ?? 0))).toBeLessThan(0.1);
    expect(held?.skill.maeK).toBeLessThan(0.03);
  });
});
