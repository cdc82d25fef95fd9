import { describe, expect, test } from 'vitest';
import { leafVpdKpa } from '../../../../shared/climate/humidity.ts';
import { leafAboveAirK, leafAboveAirRangeK } from '../../../../shared/climate/leaf-temperature.ts';
import type { PlaceSettings } from '../../../../shared/model/place.ts';
import { type SentRecord, START_MS, startHouse } from '../support/house.ts';

const HOUR_MS = 3_600_000;
const AIR = { airTemperatureC: 24, relativeHumidityPct: 95 };
const LEAF = { ...AIR, lightSource: 'daylight', airSpeedMS: 0.1, leafWidthM: 0.05 } as const;

/** An hour in which each named probe reports one value every 10 min. */
async function hourOf(
  reported: Readonly<Record<string, readonly [string, number]>>,
  settings: Partial<PlaceSettings> = {},
) {
  const house = startHouse();
  house.hand.pass(HOUR_MS);
  const records = Object.entries(reported).flatMap(([n, [u, v]]) =>
    Array.from({ length: 7 }, (_, k): SentRecord => ({ n, u, v, t: START_MS / 1_000 + 600 * k })),
  );
  await house.report(records);
  house.daemon.orders.patchPlace('bench-1', { settings });
  const span = { fromMs: START_MS, toMs: START_MS + HOUR_MS };
  return { ...house.daemon.queries, span };
}
const air = { 'air/temperature': ['Cel', 24], 'air/humidity': ['%RH', 95] } as const;
const lit = { ...air, 'light/ppfd': ['umol/m2/s', 600] } as const;

/** The leaf's deficit where it is so much warmer than the air, reckoned apart. */
const deficit = (aboveK: number) => leafVpdKpa({ ...AIR, leafTemperatureC: AIR.airTemperatureC + aboveK });

describe('without a leaf probe, in 600 µmol m⁻² s⁻¹', () => {
  const warmedK = leafAboveAirK({ ...LEAF, ppfdUmolM2S: 600 });

  test('the leaf’s deficit is that of a leaf 5.9 K above the air: seven times the air’s, an estimate with its range', async () => {
    const { now } = await hourOf(lit);
    const { leafVpdKpa: leaf, airVpdKpa } = now('bench-1').quantities;
    const { low, high } = leafAboveAirRangeK({ ...LEAF, ppfdUmolM2S: 600, pressureKpa: 101.325 });
    expect(leaf?.value).toBeCloseTo(deficit(warmedK), 9);
    expect(leaf?.estimated).toBe(true);
    expect(leaf?.range?.low).toBeCloseTo(deficit(low), 9);
    expect(leaf?.range?.high).toBeCloseTo(deficit(high), 9);
    expect((leaf?.value ?? 0) / (airVpdKpa?.value ?? 1)).toBeGreaterThan(7);
  });

  test('it is counted so too, and said to come from the light', async () => {
    const { exposures, span } = await hourOf(lit);
    const { leafVpd } = exposures('bench-1', span);
    expect(leafVpd).toMatchObject({ coveredHours: 1, assumedOffsetK: null, offsetFrom: 'light' });
    expect(leafVpd.kpaHours).toBeCloseTo(deficit(warmedK), 9);
  });

  test('where a number comes from names light, leaf, air speed, sources and what it leaves open', async () => {
    const { explain, span } = await hourOf(lit);
    const asked = explain('bench-1', { of: 'now.leafVpdKpa', span: null, limits: null });
    expect(asked.inputs.map(({ name }) => name)).toEqual([
      ...[
        'Air temperature',
        'Relative humidity',
        'Photon flux density, 400–700 nm',
        'Leaf width',
        'Air speed',
      ],
    ]);
    expect(asked.assumptions.join(' ')).toContain('estimated from the light');
    expect(asked.assumptions.join(' ')).toContain('[CN98]');
    expect(asked.errorRange?.because).toContain('from just misted to dry in still air');
    expect(asked.errorRange?.high).toBeGreaterThan(asked.value ?? 0);
    expect(asked.errorRange?.low).toBeLessThan(asked.value ?? 0);
    const counted = explain('bench-1', { of: 'exposures.leafVpd.kpaHours', span, limits: null });
    expect(counted.assumptions.join(' ')).toContain('estimated from the light');
    expect(counted.inputs.some(({ name }) => name.startsWith('Photon flux'))).toBe(true);
  });

  test('a stated 0 K holds it at the air; so does having no light probe', async () => {
    const stated = await hourOf(lit, { leafOffsetK: 0 });
    expect(stated.exposures('bench-1', stated.span).leafVpd).toMatchObject({ assumedOffsetK: 0 });
    expect(stated.now('bench-1').quantities.leafVpdKpa?.value).toBeCloseTo(deficit(0), 9);
    const dark = await hourOf(air);
    expect(dark.exposures('bench-1', dark.span).leafVpd).toMatchObject({ assumedOffsetK: 0 });
    expect(dark.now('bench-1').quantities.leafVpdKpa).not.toHaveProperty('range');
  });

  test('a leaf probe is believed', async () => {
    const { exposures, now, span } = await hourOf({ ...lit, 'leaf/temperature': ['Cel', 26] });
    expect(exposures('bench-1', span).leafVpd).not.toHaveProperty('offsetFrom');
    expect(now('bench-1').quantities.leafVpdKpa?.value).toBeCloseTo(deficit(2), 9);
  });
});
