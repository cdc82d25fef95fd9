import { describe, expect, it } from 'vitest';
import { backRecord, DAY_MS, HOUR_MS, highest, lowest, mean, type Point, values } from './record.ts';

const DEMOS = [
  { seed: 7, anchorMs: Date.UTC(2026, 3, 24, 10), utcOffsetMs: 2 * HOUR_MS },
  { seed: 1, anchorMs: Date.UTC(2026, 0, 3, 3, 17), utcOffsetMs: -5 * HOUR_MS },
  { seed: 4242, anchorMs: Date.UTC(2027, 8, 30, 23, 59), utcOffsetMs: 5.5 * HOUR_MS },
].map((demo) => ({ seed: demo.seed, demo, record: backRecord(demo) }));
const BENCH = 'demo-mist-bench/';
const DOME = 'demo-bottle-dome/';
const CEILING_C = 26.7;
const FULL_DAYS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12];

const longestGapMs = (points: readonly Point[]): number =>
  Math.max(...points.slice(1).map((point, i) => point.tMs - (points[i]?.tMs ?? point.tMs)));

describe.each(DEMOS)('the climate of the demo with seed $seed', ({ demo, record }) => {
  it('has root zones warmer than the air through all nights but the failed one, by 4 K or more at 04:00', () => {
    for (const name of [BENCH, DOME])
      for (const day of FULL_DAYS) {
        const root = mean(record.between(`${name}root/temperature`, day, [3.5, 4.5]));
        expect(root - mean(record.between(`${name}air/temperature`, day, [3.5, 4.5]))).toBeGreaterThan(4);
      }
  });

  it('holds the bench’s root zone within the bench rule, 70 to 80 °F, but after the mat failed', () => {
    const failedMs = record.lastMidnightMs + 2 * HOUR_MS;
    const root = record.points(`${BENCH}root/temperature`).filter(({ tMs }) => tMs < failedMs);
    expect(lowest(root)).toBeGreaterThan(21.1);
    expect(highest(root)).toBeLessThan(CEILING_C);
  });

  it('lets the root zone drift to the air with a lag of 1 to 6 h when the mat fails at 02:10, and recover', () => {
    const root = record.between(`${BENCH}root/temperature`, 0, [2.1667, 7.3333]);
    const airC = mean(record.between(`${BENCH}air/temperature`, 0, [2.1667, 5]));
    const startC = root[0]?.value ?? Number.NaN;
    // A first-order lag is the time in which 63 % of the way is gone.
    const lagged = root.find(({ value }) => value < startC - 0.63 * (startC - airC));
    const lagHours = ((lagged?.tMs ?? Number.NaN) - (root[0]?.tMs ?? Number.NaN)) / HOUR_MS;
    expect(lagHours).toBeGreaterThan(1);
    expect(lagHours).toBeLessThan(6);
    expect(lowest(root)).toBeLessThan(19);
    const recovered = record.points(`${BENCH}root/temperature`).at(-1);
    expect(recovered?.value).toBeGreaterThan(21.1);
  });

  it('warms the medium by 0.5 to 2 K in the 15 minutes of fastest warming', () => {
    // A propagation mat of 120 to 200 W/m² under 5 cm of wet medium, 2.1 to 3 MJ/m³K: 0.7 to 1.7 K less losses, by hand.
    const root = record.between(`${BENCH}root/temperature`, 0, [7, 12]);
    const risesK = root.slice(15).map((point, i) => point.value - (root[i]?.value ?? Number.NaN));
    expect(Math.max(...risesK)).toBeGreaterThan(0.5);
    expect(Math.max(...risesK)).toBeLessThan(2);
  });

  it('takes the dome to 33 to 42 °C two days before the last, over 26.7 °C for one to four hours', () => {
    const air = record.between(`${DOME}air/temperature`, 2, [0, 24]);
    expect(highest(air)).toBeGreaterThan(33);
    expect(highest(air)).toBeLessThan(42);
    const overHours = air.filter(({ value }) => value > CEILING_C).length / 60;
    expect(overHours).toBeGreaterThan(1);
    expect(overHours).toBeLessThan(4);
    expect(record.between(`${DOME}air/humidity`, 2, [14, 15.5]).every(({ value }) => value < 95)).toBe(true);
  });

  it('lets the dome pass 26.7 °C only with more than 8000 lx of sun on it in the half hour before', () => {
    const lux = new Map(record.points(`${DOME}light/illuminance`).map(({ tMs, value }) => [tMs, value]));
    const sunlit = (tMs: number): boolean =>
      Array.from({ length: 31 }, (_, i) => lux.get(tMs - i * 60_000) ?? 0).some((value) => value > 8000);
    const hot = record.points(`${DOME}air/temperature`).filter(({ value }) => value > CEILING_C);
    expect(hot.length).toBeGreaterThan(0);
    expect(hot.filter(({ tMs }) => !sunlit(tMs))).toEqual([]);
  });

  it('holds the closed dome near saturation: 94 %RH or more from midnight to 06:00, not one value for hours', () => {
    for (const day of FULL_DAYS) {
      const night = record.between(`${DOME}air/humidity`, day, [0, 6]);
      expect(lowest(night)).toBeGreaterThan(94);
      expect(new Set(values(night)).size).toBeGreaterThan(5);
    }
  });

  it('dries the dome below 90 %RH while its cap is off, 08:30 to 09:15, on 8 to 11 of 12 mornings', () => {
    const vented = FULL_DAYS.filter(
      (day) => lowest(record.between(`${DOME}air/humidity`, day, [8.6, 9.2])) < 90,
    );
    expect(vented.length).toBeGreaterThanOrEqual(8);
    expect(vented.length).toBeLessThanOrEqual(11);
  });

  it('opens the mist valve for 8 s, every 10 min at first, and never from 20:00 to 05:30', () => {
    const valve = record.points(`${BENCH}mist/valve`);
    const opened = valve.filter(({ value }) => value === 1);
    const shut = new Set(valve.filter(({ value }) => value === 0).map(({ tMs }) => tMs));
    expect(opened.filter(({ tMs }) => !shut.has(tMs + 8000))).toEqual([]);
    const early = record.between(`${BENCH}mist/valve`, 11, [8, 18]).filter(({ value }) => value === 1);
    expect(early).toHaveLength(60);
    const hours = opened.map(
      ({ tMs }) => ((((tMs + demo.utcOffsetMs) % DAY_MS) + DAY_MS) % DAY_MS) / HOUR_MS,
    );
    expect(hours.filter((hour) => hour < 5.5 || hour >= 20)).toEqual([]);
  });

  it('draws saw-teeth of 5 %RH or more at the mist’s period on the cloudless afternoon', () => {
    const humidity = record.between(`${BENCH}air/humidity`, 2, [12.5, 15.5]);
    const teeth = record.between(`${BENCH}mist/valve`, 2, [12.5, 15.3]).filter(({ value }) => value === 1);
    expect(teeth.length).toBeGreaterThan(9);
    for (const { tMs } of teeth) {
      const before = humidity.filter((point) => point.tMs > tMs - 120_000 && point.tMs <= tMs);
      const after = humidity.filter((point) => point.tMs > tMs && point.tMs <= tMs + 300_000);
      expect(highest(after) - lowest(before)).toBeGreaterThan(5);
    }
  });

  it('leaves the bench silent for 3 h five days before the last, and nothing else for more than a minute', () => {
    const silent = (name: string): number => longestGapMs(record.points(name)) / HOUR_MS;
    for (const probe of ['root/temperature', 'air/humidity', 'mist/valve'])
      expect(silent(BENCH + probe)).toBeCloseTo(3, 1);
    expect(silent(`${DOME}air/temperature`)).toBe(1 / 60);
    expect(record.between(`${BENCH}air/humidity`, 5, [10.7, 13.6])).toEqual([]);
  });

  it('gives 1 to 9 mol/m² a day of light on the bench and none at midnight', () => {
    for (const day of FULL_DAYS.filter((candidate) => candidate !== 5)) {
      const light = record.between(`${BENCH}light/ppfd`, day, [0, 24]);
      const dliMolM2 = values(light).reduce((sum, ppfd) => sum + ppfd * 60, 0) / 1e6;
      expect(dliMolM2).toBeGreaterThan(1);
      expect(dliMolM2).toBeLessThan(9);
      expect(highest(record.between(`${BENCH}light/ppfd`, day, [0, 3]))).toBeLessThan(2);
    }
  });
});
