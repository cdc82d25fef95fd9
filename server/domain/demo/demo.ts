import { type BenchState, FIRST_BENCH, steppedBench } from './bench.ts';
import { CASE_CADENCE_MS, caseReadings } from './case.ts';
import { type DomeState, FIRST_DOME, steppedDome } from './dome.ts';
import { FIRST_GREENHOUSE, type GreenhouseState, steppedGreenhouse } from './greenhouse.ts';
import { createPacker, type DemoPack } from './packs.ts';
import {
  BENCH_DEVICE,
  CASE_DEVICE,
  DAY_MS,
  type DemoFrame,
  DOME_DEVICE,
  demoFrame,
  EVENTS,
  isUnderWay,
  localMoment,
  PHYSICS_STEP_MS,
} from './scenario.ts';
import { benchReadings, domeReadings, valveReadings } from './sensors.ts';
import { type Clouds, driftedClouds, outsideAt } from './weather.ts';

export const BACK_RECORD_MS = 14 * DAY_MS;
export const BACK_CADENCE_MS = 60_000;
export const LIVE_CADENCE_MS = 10_000;
/** Most time one call advances: a call stays short, and a machine that slept a month catches up in a few calls. */
export const MAX_ADVANCE_MS = DAY_MS;

/** The demo as it stands at a time; plain data, so it may be kept as JSON and taken up again. */
export type DemoState = {
  readonly frame: DemoFrame;
  readonly tMs: number;
  readonly clouds: Clouds;
  readonly house: GreenhouseState;
  readonly bench: BenchState;
  readonly dome: DomeState;
};

const onGridMs = (tMs: number): number => Math.floor(tMs / PHYSICS_STEP_MS) * PHYSICS_STEP_MS;

function stepped(state: DemoState): DemoState {
  const { frame, tMs } = state;
  const stepS = PHYSICS_STEP_MS / 1000;
  const clouds = driftedClouds(state.clouds, { seed: frame.seed, index: tMs / PHYSICS_STEP_MS, stepS });
  const outside = outsideAt(localMoment({ tMs, utcOffsetMs: frame.utcOffsetMs }), frame, clouds);
  const step = { tMs, stepS, frame, outside };
  return {
    frame,
    tMs: tMs + PHYSICS_STEP_MS,
    clouds,
    house: steppedGreenhouse(state.house, step),
    bench: steppedBench(state.bench, { ...step, house: state.house }),
    dome: steppedDome(state.dome, step),
  };
}

/**
 * The demo at the start of its back record, after a day of spin-up that leaves no trace in the record.
 * @param demo seed, whole number; end of the back record, ms since epoch; local time minus UTC at that end, ms;
 * length of the back record, ms, 14 days unless given
 * @returns the state from which `stepDemo` goes on
 * @example startDemo({ seed: 7, anchorMs: Date.UTC(2026, 4, 1, 12), utcOffsetMs: 7_200_000 })
 */
export function startDemo(demo: {
  readonly seed: number;
  readonly anchorMs: number;
  readonly utcOffsetMs: number;
  readonly backRecordMs?: number;
}): DemoState {
  const startMs = onGridMs(demo.anchorMs - (demo.backRecordMs ?? BACK_RECORD_MS));
  let state: DemoState = {
    frame: demoFrame(demo),
    tMs: startMs - DAY_MS,
    clouds: { fast: 0, slow: 0 },
    house: FIRST_GREENHOUSE,
    bench: FIRST_BENCH,
    dome: FIRST_DOME,
  };
  while (state.tMs < startMs) state = stepped(state);
  return state;
}

/**
 * Lets the demo go on, and gives what its two devices send on the way.
 *
 * The answer does not depend on how the way is cut into calls, but for where a pack ends. It advances a day at most:
 * go on until `state.tMs` no longer grows.
 * @param state as it stands
 * @param way time to go to, ms since epoch; time between readings, ms, a multiple of 10 s
 * @returns the state at the last multiple of 10 s not after that time, and the packs in order of time
 * @example stepDemo(state, { toMs: state.tMs + 3_600_000, cadenceMs: BACK_CADENCE_MS }).packs.length // 6
 */
export function stepDemo(
  state: DemoState,
  method: { readonly toMs: number; readonly cadenceMs: number },
): { readonly state: DemoState; readonly packs: readonly DemoPack[] } {
  const endMs = onGridMs(Math.min(method.toMs, state.tMs + MAX_ADVANCE_MS));
  const packer = createPacker();
  let now = state;
  while (now.tMs < endMs) {
    now = stepped(now);
    report(now, { isDue: now.tMs % method.cadenceMs === 0, packer });
  }
  return { state: now, packs: packer.finish() };
}

function report(
  state: DemoState,
  to: { readonly isDue: boolean; readonly packer: ReturnType<typeof createPacker> },
): void {
  const { frame, tMs } = state;
  const moment = localMoment({ tMs, utcOffsetMs: frame.utcOffsetMs });
  const isSilent = isUnderWay(EVENTS.benchDropout, { moment, lastDay: frame.lastDay });
  if (!isSilent) to.packer.add(BENCH_DEVICE, valveReadings({ tMs, isDue: to.isDue }, frame));
  if (!to.isDue) return;
  const sample = { frame, tMs, outside: outsideAt(moment, frame, state.clouds) };
  if (!isSilent) to.packer.add(BENCH_DEVICE, benchReadings(state.bench, sample));
  to.packer.add(DOME_DEVICE, domeReadings(state.dome, sample));
  // the long record of the case is thin up to the last day
  if (tMs % CASE_CADENCE_MS === 0 || tMs > frame.anchorMs - DAY_MS)
    to.packer.add(CASE_DEVICE, caseReadings(tMs, frame));
}
