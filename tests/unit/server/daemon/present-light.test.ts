import { describe, expect, test } from 'vitest';
import type { Targets } from '../../../../shared/model/targets.ts';
import { type SentRecord, START_MS, startHouse } from '../support/house.ts';
import { TARGETS } from '../support/targets.ts';

/** Day from 20 µmol m⁻² s⁻¹: air 20 to 25 °C by day, 10 to 15 °C by night, so that 18 °C tells one from the other. */
const BY_LIGHT: Targets = { ...TARGETS, dayBy: { kind: 'light', ppfdUmolM2S: 20 } };

const every5 = (record: SentRecord, offsetS = 0): SentRecord[] =>
  Array.from({ length: 7 }, (_, k) => ({ ...record, t: START_MS / 1_000 + 300 * k + offsetS }));

async function airState(light: readonly SentRecord[]) {
  const house = startHouse();
  house.hand.pass(1_900_000);
  await house.report([...light, ...every5({ n: 'air/temperature', u: 'Cel', v: 18 })]);
  house.daemon.orders.setTargets('bench-1', { targets: BY_LIGHT, fromMs: 0 });
  return house.daemon.queries.now('bench-1').quantities.airTemperatureC?.state;
}

describe('at 10:31 UTC, day by the clock, air of 18 °C is judged by the light', () => {
  test('as too warm for night under 5 µmol m⁻² s⁻¹, as too cold for day under 100', async () => {
    expect(await airState(every5({ n: 'light/ppfd', u: 'umol/m2/s', v: 5 }))).toBe('above');
    expect(await airState(every5({ n: 'light/ppfd', u: 'umol/m2/s', v: 100 }))).toBe('below');
  });

  test('of 270 lx, 5 µmol m⁻² s⁻¹ in daylight, where no PPFD is read', async () => {
    expect(await airState(every5({ n: 'light/illuminance', u: 'lx', v: 270 }))).toBe('above');
  });

  test('of the PPFD probe, also where an illuminance probe reported 60 s later', async () => {
    const ppfd = every5({ n: 'light/ppfd', u: 'umol/m2/s', v: 5 });
    const lux = every5({ n: 'light/illuminance', u: 'lx', v: 270 }, 60);
    expect(await airState([...ppfd, ...lux])).toBe('above');
  });

  test('by the clock’s day once light has been silent for 16 min, and where there never was any', async () => {
    const house = startHouse();
    house.hand.pass(1_900_000);
    await house.report(every5({ n: 'light/ppfd', u: 'umol/m2/s', v: 5 }));
    house.daemon.orders.setTargets('bench-1', { targets: BY_LIGHT, fromMs: 0 });
    house.hand.pass(16 * 60_000);
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 18 }]);
    expect(house.daemon.queries.now('bench-1').quantities.airTemperatureC?.state).toBe('below');
    expect(await airState([])).toBe('below');
  });
});
