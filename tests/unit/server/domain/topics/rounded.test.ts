import { describe, expect, test } from 'vitest';
import { OF_AIR } from '../../../../../server/domain/exposures/curves.ts';
import { roundedAlarm, roundedNow } from '../../../../../server/domain/topics/rounded.ts';
import type { Alarm } from '../../../../../shared/model/alarms/alarm.ts';
import { PROBE_QUANTITIES, SERIES_QUANTITIES, toResolution } from '../../../../../shared/quantities.ts';

const AT = '2026-06-01T10:00:00.000Z';
const STANDARD_KPA = 101.325;

const alarm = (change: Partial<Alarm>): Alarm => ({
  id: 'bench-1.vpd-above-band-in-light',
  placeId: 'bench-1',
  placeName: 'bench 1',
  rule: 'vpd-above-band-in-light',
  priority: 'medium',
  state: 'unacknowledged',
  raisedAtMs: 1_000,
  acknowledgedAtMs: null,
  acknowledgedBy: null,
  returnedAtMs: null,
  suppression: 'none',
  suppressedReason: null,
  shelvedUntilMs: null,
  shelvedReason: null,
  facts: null,
  ...change,
});

describe('a resolution', () => {
  test.each([
    [24.037, 0.01, 24.04],
    [-0.004, 0.01, 0],
    [-3.455, 0.01, -3.45],
    [71.25, 0.1, 71.3],
    [0.1 + 0.2, 0.1, 0.3],
    [4_321.6, 1, 4_322],
    [4_321.6, 10, 4_320],
  ])('of %s to %s is %s, with no digits behind it', (value, resolution, expected) => {
    expect(toResolution(value, resolution) + 0).toBe(expected);
  });

  // 24 °C and 80 %RH: one step of temperature and one of humidity, the smallest change that can be told apart
  test.each(Object.entries(OF_AIR))(
    'of %s is the next power of ten above what 1 step of its probes makes',
    (name, f) => {
      const at = { airTemperatureC: 24, relativeHumidityPct: 80 };
      const steps = {
        airTemperatureC: PROBE_QUANTITIES['air/temperature'].resolution,
        relativeHumidityPct: PROBE_QUANTITIES['air/humidity'].resolution,
      };
      const before = f(at, STANDARD_KPA) ?? Number.NaN;
      const changes = Object.entries(steps).map(([key, step]) =>
        Math.abs(
          (f({ ...at, [key]: at[key as keyof typeof at] + step }, STANDARD_KPA) ?? Number.NaN) - before,
        ),
      );
      const { resolution } = SERIES_QUANTITIES[name as keyof typeof OF_AIR];
      expect(Math.max(...changes)).toBeLessThanOrEqual(resolution);
      expect(Math.max(...changes)).toBeGreaterThan(resolution / 10);
    },
  );
});

describe('what is retained', () => {
  test('has each value of a place rounded by its quantity, and all else as it is', () => {
    const value = (number: number, unit: string) =>
      ({ value: number, unit, at: AT, state: 'within', estimated: false }) as const;
    const excursion = <K extends string, N extends object>(kind: K, numbers: N) => ({
      ...{ kind, from: AT, to: null },
      ...numbers,
    });
    const now = {
      placeId: 'bench-1',
      newestAt: AT,
      probesTelling: 2,
      probesAssigned: 3,
      state: 'act',
      harm: 0.123_456,
      minutesLeft: 41.7,
      blindTo: [],
      quantities: {
        airTemperatureC: value(24.03125, '°C'),
        relativeHumidityPct: value(71.2345, '%RH'),
        airVpdKpa: value(0.857_321, 'kPa'),
        leafVpdKpa: { ...value(0.95, 'kPa'), range: { low: 0.912_3, high: 1.187_6 } },
        illuminanceLx: value(12_345.6, 'lx'),
        mistValve: value(1, ''),
      },
      lately: [
        excursion('air-over-ceiling', { peak: 30.123_45, furthest: 3.423_45, harm: 0.098_7 }),
        excursion('vpd-above-band', { peak: 0.857_321, furthest: 0.357_321, harm: 0.024_8 }),
        excursion('no-data', { peak: null, furthest: null, harm: null }),
      ],
      catchingUp: true,
    } as const;
    expect(roundedNow(now)).toEqual({
      ...now,
      harm: 0.12,
      minutesLeft: 42,
      lately: [
        excursion('air-over-ceiling', { peak: 30.12, furthest: 3.42, harm: 0.1 }),
        excursion('vpd-above-band', { peak: 0.86, furthest: 0.36, harm: 0.02 }),
        excursion('no-data', { peak: null, furthest: null, harm: null }),
      ],
      quantities: {
        airTemperatureC: value(24.03, '°C'),
        relativeHumidityPct: value(71.2, '%RH'),
        airVpdKpa: value(0.86, 'kPa'),
        leafVpdKpa: { ...value(0.95, 'kPa'), range: { low: 0.91, high: 1.19 } },
        illuminanceLx: value(12_346, 'lx'),
        mistValve: value(1, ''),
      },
    });
  });

  test('has the facts of an alarm rounded by the unit of its rule, limit and slope a tenth finer', () => {
    const facts = {
      kind: 'past-limit',
      value: 0.857_321,
      limit: 0.5 + 1e-12,
      worst: 1.2349,
      sinceMs: 5,
      atMs: 9,
      slopePerMin: 0.012_345,
    } as const;
    expect(roundedAlarm(alarm({ facts })).facts).toEqual({
      ...{ ...facts, value: 0.86, limit: 0.5, worst: 1.23, slopePerMin: 0.012 },
    });
  });

  test('has those of the ceiling under their own names, 29.700000000000003 °C as 29.7', () => {
    const facts = {
      kind: 'air-over-ceiling',
      valueC: 30.123_45,
      ceilingC: 26.7 + 3,
      peakC: 31.005_1,
      sinceMs: 5,
      atMs: 9,
      slopeKPerMin: null,
    } as const;
    const rounded = roundedAlarm(alarm({ rule: 'air-over-ceiling', facts }));
    expect(rounded.facts).toEqual({ ...facts, valueC: 30.12, ceilingC: 29.7, peakC: 31.01 });
    expect(rounded).toMatchObject({ rule: 'air-over-ceiling', raisedAtMs: 1_000 });
  });

  test('has facts without such numbers as they are', () => {
    const silent = alarm({
      rule: 'no-data',
      facts: { kind: 'no-data', silent: [{ probe: 'bench-1/air/temperature', lastMs: 7 }], wholePlace: true },
    });
    expect(roundedAlarm(silent)).toEqual(silent);
  });
});
