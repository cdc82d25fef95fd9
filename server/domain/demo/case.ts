import { createPacker, type DemoPack } from './packs.ts';
import { uniform } from './random.ts';
import { CASE, CASE_DEVICE, DAY_MS, type DemoFrame, localMoment } from './scenario.ts';
import type { DemoReading } from './sensors.ts';

const { air: AIR, humidity: HUMIDITY, light: LIGHT, rootZone: ROOT, wall: WALL, matFailure: FAILURE } = CASE;

const HOUR_MS = 3_600_000;
/** Readings of the long record are this far apart, ms. */
export const CASE_CADENCE_MS = CASE.earlierCadenceMin * 60_000;
/** A message of the long record holds so much of it. */
const EARLIER_PACK_MS = 12 * HOUR_MS;
/** It was put there when the record of the other places began. */
const WALL_PROBE = 'wall/temperature';
const PROBES = { root: 31, air: 32, humidity: 33, light: 34, wall: 35 } as const;

/** Where the air of the case stands between night, 0, and day, 1. */
function dayShare(hour: number): number {
  const { dayFromHour, dayToHour, moveHours } = AIR;
  const risen = Math.min(Math.max((hour - dayFromHour) / moveHours, 0), 1);
  const fallen = Math.min(Math.max((hour - dayToHour) / moveHours, 0), 1);
  return risen - fallen;
}

/** Noise of a chip about the truth, ± half its spread. */
function noise(
  frame: DemoFrame,
  of: { readonly stream: number; readonly tMs: number; readonly spread: number },
): number {
  const { stream, tMs, spread } = of;
  return spread * (uniform({ seed: frame.seed, stream, index: Math.floor(tMs / 1_000) }) - 0.5);
}

/** The root zone over a mat that holds it, cools down once the mat is dead, and warms up again after. */
function rootC(tMs: number, frame: DemoFrame): number {
  const heldC = ROOT.holdsC + ROOT.waveK * Math.sin((2 * Math.PI * tMs) / (5.3 * HOUR_MS));
  const failedMs = frame.anchorMs - FAILURE.hoursBefore * HOUR_MS;
  const repairedMs = failedMs + FAILURE.lastsHours * HOUR_MS;
  if (tMs < failedMs) return heldC;
  const coldC = ROOT.unheatedC;
  const left = (fromMs: number) => Math.exp(-(tMs - fromMs) / (ROOT.coolsWithinHours * HOUR_MS));
  if (tMs < repairedMs) return coldC + (heldC - coldC) * left(failedMs);
  return heldC + (coldC - heldC) * left(repairedMs);
}

/**
 * What the device of the heated case reads at a time. Its climate follows from the time alone, so that months of it are made
 * in no time.
 * @param tMs ms since epoch
 * @param frame the demo's fixed facts
 * @returns one reading a probe, in the probe's unit
 * @example caseReadings(0, frame).length // 5
 */
export function caseReadings(tMs: number, frame: DemoFrame): DemoReading[] {
  const { hour } = localMoment({ tMs, utcOffsetMs: frame.utcOffsetMs });
  const share = dayShare(hour);
  const airC = AIR.nightC + (AIR.dayC - AIR.nightC) * share;
  const humidityPct = HUMIDITY.nightPct + (HUMIDITY.dayPct - HUMIDITY.nightPct) * share;
  const ppfd = hour >= AIR.dayFromHour && hour < AIR.dayToHour ? LIGHT.ppfdUmolM2S : 0;
  const isStuck = tMs >= frame.anchorMs - WALL.stuckFromDaysBefore * DAY_MS;
  const near = (stream: number, spread: number) => noise(frame, { stream, tMs, spread });
  const reading = (probe: string, unit: string, of: { value: number; step: number }): DemoReading => {
    const value = Number((Math.round(of.value / of.step) * of.step).toFixed(4));
    return { probe, unit, value, tMs };
  };
  const wallC = isStuck ? WALL.stuckAtC : airC - WALL.belowAirK + near(PROBES.wall, 0.2);
  return [
    reading('root/temperature', 'Cel', {
      value: rootC(tMs, frame) + near(PROBES.root, 0.1),
      step: 0.0625,
    }),
    reading('air/temperature', 'Cel', { value: airC + near(PROBES.air, 0.4), step: 0.01 }),
    reading('air/humidity', '%RH', { value: humidityPct + near(PROBES.humidity, 1.2), step: 0.1 }),
    reading('light/ppfd', 'umol/m2/s', {
      value: Math.max(0, ppfd + near(PROBES.light, ppfd / 20)),
      step: 0.1,
    }),
    reading(WALL_PROBE, 'Cel', { value: wallC, step: 0.0625 }),
  ];
}

/**
 * The record of the case before that of the other places begins, in the order of time.
 * @param frame the demo's fixed facts
 * @param toMs when the others begin, ms since epoch
 */
export function earlierCasePacks(frame: DemoFrame, toMs: number): readonly DemoPack[] {
  const packer = createPacker({ spanMs: EARLIER_PACK_MS });
  const fromMs = frame.anchorMs - CASE.earlierDays * DAY_MS;
  const firstMs = Math.ceil(fromMs / CASE_CADENCE_MS) * CASE_CADENCE_MS;
  for (let tMs = firstMs; tMs < toMs; tMs += CASE_CADENCE_MS) {
    const readings = caseReadings(tMs, frame);
    packer.add(
      CASE_DEVICE,
      readings.filter(({ probe }) => probe !== WALL_PROBE),
    );
  }
  return packer.finish();
}
