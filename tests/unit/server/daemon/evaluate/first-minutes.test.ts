import { describe, expect, test } from 'vitest';
import { ruledHouse } from '../../support/ruled.ts';

/** What is said of a place that has only just begun to report; the sheet as in alarm-rules.test.ts. */
const MINUTE_MS = 60_000;

describe('a device that is new', () => {
  test('and reports once raises no silence, however long, and is waited for', async () => {
    const { house, deviation } = ruledHouse();
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 22 }]);
    house.hand.pass(30 * MINUTE_MS);
    expect(deviation()).toEqual([]);
    expect(house.daemon.queries.now('bench-1').firstReadings).toBe(true);
  });

  test('is missed once it has reported three times, and after a restart as well', async () => {
    const { house, deviation } = ruledHouse();
    for (let k = 0; k < 3; k++) {
      await house.report([{ n: 'air/temperature', u: 'Cel', v: 22 }]);
      house.hand.pass(10_000);
    }
    expect(house.daemon.queries.now('bench-1')).not.toHaveProperty('firstReadings');
    house.hand.pass(6 * MINUTE_MS);
    expect(deviation()).toEqual(['no-data']);
  });

  test('at 28 °C is over its ceiling of 26.7 °C after a minute, by its only reading', async () => {
    const { house, deviation } = ruledHouse();
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 28 }]);
    house.hand.pass(MINUTE_MS);
    expect(deviation()).toEqual(['air-over-ceiling']);
  });

  test('in air far too dry is judged after 10 min on record, though its delay is over within a minute', async () => {
    const { hold, deviation } = ruledHouse();
    // [HW83] at 26 °C: 50 %RH leaves 1.68 kPa; 1.18 over spend 2^(1.18/0.2) = 60 ms a ms: 30 min are over after 30 s
    const dry = { 'air/temperature': 26, 'air/humidity': 50, 'light/ppfd': 100 };
    await hold(dry, 9 * MINUTE_MS);
    expect(deviation()).toEqual([]);
    await hold(dry, 2 * MINUTE_MS);
    expect(deviation()).toEqual(['vpd-above-band-in-light']);
  });
});
