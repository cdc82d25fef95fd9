import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type SentRecord, START_MS, startHouse } from '../support/house.ts';

const STEP_MS = 10_000;
const HOURS = 4;

/** A root zone read every 1 to 20 min, gaps over 15 min among them, in whole °C that dwell on base and upper limit. */
const readings = fc.array(fc.tuple(fc.integer({ min: 1, max: 20 }), fc.integer({ min: 15, max: 34 })), {
  minLength: 2,
  maxLength: 24,
});

const POINSETTIA = { baseC: 21, optimumC: 28, stopC: 32 };
const CAPPED = { baseC: 21, upperC: 28 };

/** K above the base, no further than the upper limit. */
const cappedK = (temperatureC: number) => Math.min(Math.max(temperatureC - 21, 0), 7);
/** K above the base up to the optimum, then in a straight line down to nothing at the stop. */
const rootingK = (temperatureC: number) =>
  temperatureC <= 28 ? cappedK(temperatureC) : Math.max((7 * (32 - temperatureC)) / 4, 0);

/** The temperature at a time, searched for reading by reading; null in a gap. */
function valueAt(points: readonly (readonly [number, number])[], atMs: number): number | null {
  const next = points.findIndex(([tMs]) => tMs > atMs);
  const [after, before] = [points[next], points[next - 1]];
  if (!after || !before || after[0] - before[0] > 15 * 60_000) return null;
  return before[1] + ((after[1] - before[1]) * (atMs - before[0])) / (after[0] - before[0]);
}

// [WILKERSON05]: poinsettia has a base of 21 °C, roots fastest at 28 °C, slowly at 20 °C or below, not at all from 32 °C
// on; the straight line between optimum and stop is our reading.
test.each([
  [20, 0, 0],
  [21, 0, 0],
  [24, 3, 3],
  [24.5, 3.5, 3.5],
  [28, 7, 7],
  [30, 7, 3.5],
  [32, 7, 0],
  [40, 7, 0],
])(
  '2 h at %d °C count %d K each up to 28 °C, and %d K with a stop',
  async (temperatureC, capped, rooting) => {
    const house = startHouse();
    house.hand.pass(3 * 3_600_000);
    const steady = Array.from({ length: 13 }, (_, k): SentRecord => {
      return { n: 'root/temperature', u: 'Cel', v: temperatureC, t: START_MS / 1_000 + 600 * k };
    });
    await house.report(steady);
    const span = { fromMs: START_MS, toMs: START_MS + 2 * 3_600_000 };
    const counted = (limits: typeof CAPPED | typeof POINSETTIA) =>
      house.daemon.queries.thermalTime('bench-1', { ...span, ...limits }).degreeHours;
    expect(counted(CAPPED)).toBeCloseTo(2 * capped, 9);
    expect(counted(POINSETTIA)).toBeCloseTo(2 * rooting, 9);
  },
);

test('a root zone from 26 to 34 °C over 2 h counts by its course: 6.5 K·h, not the 5 of its ends', async () => {
  const house = startHouse();
  house.hand.pass(3 * 3_600_000);
  const rising = Array.from({ length: 13 }, (_, k): SentRecord => {
    return { n: 'root/temperature', u: 'Cel', v: 26 + (8 * k) / 12, t: START_MS / 1_000 + 600 * k };
  });
  await house.report(rising);
  const span = { fromMs: START_MS, toMs: START_MS + 2 * 3_600_000 };
  const { degreeHours } = house.daemon.queries.thermalTime('bench-1', {
    ...span,
    ...POINSETTIA,
  });
  // by hand: ½ h from 5 to 7 K, 1 h from 7 K to nothing, ½ h of nothing
  expect(degreeHours).toBeCloseTo(6.5, 9);
});

test('thermal time of 40 random records, base 21 and upper 28 °C, or optimum 28 and stop 32 °C, is its rate summed every 10 s', async () => {
  const span = { fromMs: START_MS, toMs: START_MS + HOURS * 3_600_000 };
  const house = startHouse();
  house.hand.pass(12 * 3_600_000);
  let bench = 0;
  await fc.assert(
    fc.asyncProperty(readings, async (steps) => {
      let tMs = START_MS - 10 * 60_000;
      const points = steps.map(([minutes, valueC]) => {
        tMs += minutes * 60_000;
        return [tMs, valueC] as const;
      });
      const device = `bench-${++bench}`;
      await house.report(
        points.map(([atMs, v]): SentRecord => ({ n: 'root/temperature', u: 'Cel', v, t: atMs / 1_000 })),
        device,
      );
      const answer = house.daemon.queries.thermalTime(device, { ...span, ...CAPPED });
      const falling = house.daemon.queries.thermalTime(device, { ...span, ...POINSETTIA });
      let [degreeHours, fallingHours, coveredHours] = [0, 0, 0];
      for (let atMs = span.fromMs + STEP_MS / 2; atMs < span.toMs; atMs += STEP_MS) {
        const temperatureC = valueAt(points, atMs);
        if (temperatureC === null) continue;
        coveredHours += STEP_MS / 3_600_000;
        fallingHours += (rootingK(temperatureC) * STEP_MS) / 3_600_000;
        degreeHours += (cappedK(temperatureC) * STEP_MS) / 3_600_000;
      }
      // readings lie on whole minutes, so cover is exact; a bend at a limit is off by at most slope × step² / 8,
      // 19 K/min: under 1.1e-3 K·min each, and there are at most 48
      expect(answer.coveredHours).toBeCloseTo(coveredHours, 9);
      expect(Math.abs(answer.degreeHours - degreeHours)).toBeLessThan(1e-3);
      // its bends are up to 2.75 times as sharp
      expect(Math.abs(falling.degreeHours - fallingHours)).toBeLessThan(3e-3);
    }),
    { numRuns: 40 },
  );
});
