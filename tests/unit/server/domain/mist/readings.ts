import { opensMist } from '../../../../../server/domain/demo/bench.ts';
import { isVented } from '../../../../../server/domain/demo/dome.ts';
import { localMoment } from '../../../../../server/domain/demo/scenario.ts';
import { type ProbeRecord, probeRecord } from '../../../../../shared/exposure/series.ts';
import { readOpenData } from '../../../../support/openData.ts';
import { backRecord, HOUR_MS, type Point } from '../demo/record.ts';

export const MINUTE_MS = 60_000;
/** as the contract has it where a place sets nothing */
export const MAX_GAP_MS = 15 * MINUTE_MS;
const PHYSICS_STEP_MS = 10_000;

/** Back records of 14 days at 60 s, simulated, of several seasons and offsets; truth comes from the simulator, not from what is under test. */
export const DEMOS = [
  { seed: 7, anchorMs: Date.UTC(2026, 3, 24, 10), utcOffsetMs: 2 * HOUR_MS },
  { seed: 1, anchorMs: Date.UTC(2026, 0, 3, 3, 17), utcOffsetMs: -5 * HOUR_MS },
  { seed: 4242, anchorMs: Date.UTC(2027, 8, 30, 23, 59), utcOffsetMs: 5.5 * HOUR_MS },
  { seed: 11, anchorMs: Date.UTC(2026, 4, 10, 6), utcOffsetMs: 0 },
  { seed: 13, anchorMs: Date.UTC(2026, 4, 12, 9), utcOffsetMs: 0 },
] as const;
export const DEMO_DAYS = 14;

/** Every `every`th point, so that a record reads as one taken more seldom. */
export function recordOf(points: readonly Point[], every = 1): ProbeRecord {
  const kept = points.filter((_, i) => i % every === 0);
  return probeRecord({ timesMs: kept.map(({ tMs }) => tMs), values: kept.map(({ value }) => value) });
}

/** A demo's points, and when mist opened and covers were off in truth. */
export function demoTruth(demo: (typeof DEMOS)[number]) {
  const record = backRecord(demo);
  const times = record.points('demo-bottle-dome/air/humidity').map(({ tMs }) => tMs);
  const [fromMs, toMs] = [times[0] ?? Number.NaN, times.at(-1) ?? Number.NaN];
  const pulsesMs: number[] = [];
  const vents: { fromMs: number; toMs: number }[] = [];
  for (let tMs = fromMs; tMs < toMs; tMs += PHYSICS_STEP_MS) {
    if (opensMist(tMs, record.state.frame)) pulsesMs.push(tMs);
    if (!isVented(localMoment({ tMs, utcOffsetMs: demo.utcOffsetMs }))) continue;
    const last = vents.at(-1);
    if (last && last.toMs === tMs) last.toMs = tMs + PHYSICS_STEP_MS;
    else vents.push({ fromMs: tMs, toMs: tMs + PHYSICS_STEP_MS });
  }
  return { points: record.points, pulsesMs, vents, window: { fromMs, toMs } };
}

/** The real room of the open data: no mist, no cover. */
export function officeAir() {
  const rows = readOpenData();
  const timesMs = rows.map(({ atMs }) => atMs);
  return {
    days: ((timesMs.at(-1) ?? 0) - (timesMs[0] ?? 0)) / (24 * HOUR_MS),
    temperature: probeRecord({ timesMs, values: rows.map((row) => row.airTemperatureC) }),
    humidity: probeRecord({ timesMs, values: rows.map((row) => row.relativeHumidityPct) }),
  };
}

/** Shares as the test output prints them. */
export function percent(part: number, whole: number): string {
  return `${((100 * part) / whole).toFixed(1)} %`;
}

/** The fastest of five calls, ms: what the machine can do, printed and not asserted. */
export function fastestMs(call: () => unknown): number {
  const taken = Array.from({ length: 5 }, () => {
    const startMs = performance.now();
    call();
    return performance.now() - startMs;
  });
  return Math.min(...taken);
}
