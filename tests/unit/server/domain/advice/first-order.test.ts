import { describe, expect, test } from 'vitest';
import { bodyOf, type Course, changed, freeRun } from '../../../../../server/domain/advice/first-order.ts';
import { seededNumbers } from '../../../../support/seeded.ts';

const STEP_MIN = 10;
const DAY = 144;
/** It follows the outside by a third of the way an hour, gains 1 K an hour for each 100 µmol, and 0.6 K by itself. */
const TRUE = { lossPerH: 0.33, gainPerH: 0.01, heatPerH: 0.6 };

function course(days: number, seed: number, share = 1): Course {
  const next = seededNumbers(seed);
  const air = new Float64Array(days * DAY);
  const outside = new Float64Array(air.length);
  const light = new Float64Array(air.length);
  air[0] = 16;
  for (let day = 0; day < days; day++) {
    const [cloud, cold] = [0.3 + 0.7 * next(), 8 + 8 * next()];
    for (let n = 0; n < DAY; n++) {
      const at = day * DAY + n;
      const sun = Math.max(0, Math.sin(((n - 36) / 84) * Math.PI));
      light[at] = 700 * sun * cloud;
      outside[at] = cold + 6 * sun;
    }
  }
  for (let n = 0; n + 1 < air.length; n++)
    air[n + 1] =
      (air[n] as number) +
      (TRUE.lossPerH * ((outside[n] as number) - (air[n] as number)) +
        TRUE.gainPerH * share * (light[n] as number) +
        TRUE.heatPerH) *
        (STEP_MIN / 60);
  return { stepMin: STEP_MIN, air, outside, light };
}

const noisy = (of: Course, seed: number): Course => {
  const next = seededNumbers(seed);
  return { ...of, air: of.air.map((value) => Math.round((value + 0.1 * (next() - 0.5)) * 10) / 10) };
};

describe('a place as a first-order body', () => {
  const whole = course(15, 4);
  const body = bodyOf(noisy(whole, 9));

  test('is found from 15 days in steps of 0.1 K within a tenth of what it is', () => {
    expect(Math.abs((body?.lossPerH ?? 0) / TRUE.lossPerH - 1)).toBeLessThan(0.1);
    expect(Math.abs((body?.gainPerH ?? 0) / TRUE.gainPerH - 1)).toBeLessThan(0.1);
  });

  test('half a shade is told within 0.3 K of what half the light truly gives', () => {
    if (body === null) throw new Error('no body');
    const shaded = course(15, 4, 0.5);
    const day = (of: Float64Array) => of.slice(DAY, 2 * DAY);
    const asked = {
      stepMin: STEP_MIN,
      air: day(whole.air),
      outside: day(whole.outside),
      light: day(whole.light),
    };
    const told = Math.max(...changed(body, asked, { fromStep: 0, toStep: DAY, transmission: 0.5 }));
    expect(Math.abs(told - Math.max(...day(shaded.air)))).toBeLessThan(0.3);
    expect(told).toBeLessThan(Math.max(...asked.air) - 2);
  });

  test('a vent that makes it follow three times as fast cools it while it is colder outside, and not before', () => {
    if (body === null) throw new Error('no body');
    const told = changed(body, whole, { fromStep: 80, toStep: 86, lossTimes: 3 });
    expect(told[80]).toBe(whole.air[80]);
    expect(told[86]).toBeLessThan((whole.air[86] as number) - 1);
    expect(Math.abs((told[DAY - 1] as number) - (whole.air[DAY - 1] as number))).toBeLessThan(0.3);
  });

  test('runs free better than the day before; is not found in two days, nor where light does nothing', () => {
    if (body === null) throw new Error('no body');
    const part = (n: number) => ({
      stepMin: STEP_MIN,
      air: whole.air.slice(n * DAY, (n + 1) * DAY),
      outside: whole.outside.slice(n * DAY, (n + 1) * DAY),
      light: whole.light.slice(n * DAY, (n + 1) * DAY),
    });
    const score = freeRun(body, part(6), part(5).air);
    expect(score?.maeK).toBeLessThan(0.5 * (score?.beforeMaeK ?? 0));
    const short = { ...whole, air: whole.air.slice(0, 150) };
    expect(bodyOf(short)).toBeNull();
    expect(bodyOf({ ...whole, light: new Float64Array(whole.light.length) })).toBeNull();
  });
});
