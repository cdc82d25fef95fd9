import { expect, test } from 'vitest';
import {
  airTrail,
  axisTicks,
  bandPath,
  deficitLine,
  dewLine,
  mapDomain,
  spotsPath,
  trailByAge,
} from '../../../../web/place/climate-map.ts';
import { coldestSurface } from '../../../../web/place/surface.ts';
import { MINUTE_MS } from '../examples.ts';

const DOMAIN = { lowC: 15, highC: 25, lowPct: 60 };
const PLAIN = { x: (airC: number) => airC, y: (pct: number) => pct };
const point = (minute: number, value: number | null) => ({
  tMs: minute * MINUTE_MS,
  value,
  min: value,
  max: value,
});

// Saturation pressure over water by the steam tables (IAPWS-95, recalled): 1.7058 kPa at 15 °C, 2.3393 at 20, 3.1698 at 25.
// VPD = e_s × (1 − RH/100), so the humidity of 0.5 kPa is 100 × (1 − 0.5 / e_s): 70.69, 78.63 and 84.23 %RH. The
// tolerance of 0.05 %RH is the 0.03 % by which the formula used may differ from those tables.
test('the line of 0.5 kPa runs through 70.7 %RH at 15 °C, 78.6 at 20 and 84.2 at 25', () => {
  const line = deficitLine(0.5, DOMAIN);
  const humidityAt = (airC: number) => line.find((spot) => Math.abs(spot.airC - airC) < 1e-9)?.humidityPct;
  expect(humidityAt(15)).toBeCloseTo(70.69, 1);
  expect(humidityAt(20)).toBeCloseTo(78.63, 1);
  expect(humidityAt(25)).toBeCloseTo(84.23, 1);
});

// Air at 25 °C with a dew point of 20 °C: 100 × 2.3393 / 3.1698 = 73.80 %RH, from the same tables.
test('the dew line of a wall at 20 °C begins at 20 °C and 100 %RH and comes down to 73.8 at 25 °C', () => {
  const line = dewLine(20, DOMAIN);
  expect(line[0]).toEqual({ airC: 20, humidityPct: 100 });
  expect(line.at(-1)?.airC).toBe(25);
  expect(line.at(-1)?.humidityPct).toBeCloseTo(73.8, 1);
});

test('a wall warmer than all air on the map has no dew line, and one colder crosses all of it', () => {
  expect(dewLine(25, DOMAIN)).toEqual([]);
  expect(dewLine(5, DOMAIN)[0]?.airC).toBe(15);
});

test('the map of steady air at 22 °C and 95 %RH holds 6 °C and the air from 70 %RH', () => {
  expect(mapDomain([{ airC: 22, humidityPct: 95 }])).toEqual({ lowC: 19, highC: 25, lowPct: 70 });
});

test('air from 15 to 23 °C and down to 52 %RH is held with 1 °C and 5 %RH to spare, to the next ten', () => {
  const spots = [
    { airC: 15, humidityPct: 98 },
    { airC: 23, humidityPct: 52 },
  ];
  expect(mapDomain(spots)).toEqual({ lowC: 14, highC: 24, lowPct: 40 });
  expect(mapDomain([])).toEqual({ lowC: 18, highC: 24, lowPct: 70 });
});

test('temperature and humidity of the same minutes make a trail, cut at a gap of either', () => {
  const air = [point(0, 20), point(5, 21), point(10, 22), point(15, 23)];
  const humidity = [point(0, 90), point(5, 91), point(10, null), point(15, 103)];
  const trail = airTrail({ air, humidity }, 6 * MINUTE_MS);
  expect(trail.map((run) => run.map(({ airC, humidityPct }) => [airC, humidityPct]))).toEqual([
    [
      [20, 90],
      [21, 91],
    ],
    [[23, 100]],
  ]);
});

test('a silence of 20 min in both cuts the trail where 15 are allowed', () => {
  const points = [point(0, 20), point(20, 21)];
  expect(airTrail({ air: points, humidity: points }, 15 * MINUTE_MS)).toHaveLength(2);
  expect(airTrail({ air: points, humidity: points }, 20 * MINUTE_MS)).toHaveLength(1);
});

test('a trail over 4 h in 2 ages is cut at 2 h, and the younger part begins where the older ends', () => {
  const spots = [0, 60, 119, 121, 240].map((minute) => ({
    tMs: minute * MINUTE_MS,
    airC: minute,
    humidityPct: 90,
  }));
  const parts = trailByAge([spots], { fromMs: 0, toMs: 240 * MINUTE_MS, parts: 2 });
  const minutes = parts.map((runs) => runs.map((run) => run.map(({ airC }) => airC)));
  expect(minutes).toEqual([[[0, 60, 119]], [[119, 121, 240]]]);
});

test('2 spots are a path of a move and a line, and a band closes', () => {
  const spots = [
    { airC: 1, humidityPct: 2 },
    { airC: 3, humidityPct: 4.25 },
  ];
  expect(spotsPath(spots, PLAIN)).toBe('M1.0 2.0L3.0 4.3');
  expect(bandPath({ lowKpa: 0.1, highKpa: 0.5 }, DOMAIN, PLAIN)).toMatch(/^M15\.0 94\.1.*L15\.0 70\.7Z$/);
});

test('an axis from 14.2 to 25.8 with at most 8 steps goes by 2; from 57 to 78 °F with at most 5 by 5', () => {
  expect(axisTicks(14.2, 25.8, 8)).toEqual([16, 18, 20, 22, 24]);
  expect(axisTicks(57, 78, 5)).toEqual([60, 65, 70, 75]);
});

const probe = (id: number, quantity: string, value: number, tMs = 0) => ({
  id,
  device: 'a',
  name: quantity,
  quantity,
  unit: 'Cel',
  placeId: 'bench',
  conflicts: 0,
  latest: { probeId: id, tMs, value },
});
const NOW = { placeId: 'bench', nowMs: 15 * MINUTE_MS, staleAfterMs: 15 * MINUTE_MS };

test('of walls at 18.5 and 17.2 °C the colder counts, and an outside at 3 °C only where no wall reports', () => {
  const walls = [probe(1, 'wall/temperature', 18.5), probe(2, 'wall/temperature', 17.2)];
  const outside = probe(3, 'outside/temperature', 3);
  expect(coldestSurface([...walls, outside], NOW)).toEqual({ kind: 'wall', temperatureC: 17.2 });
  expect(coldestSurface([outside], NOW)).toEqual({ kind: 'outside', temperatureC: 3 });
});

test('a wall that stopped reporting 16 min ago and one of another place do not count', () => {
  const silent = probe(1, 'wall/temperature', 18, -MINUTE_MS);
  expect(coldestSurface([silent, { ...probe(2, 'wall/temperature', 18), placeId: 'b' }], NOW)).toBeNull();
});
