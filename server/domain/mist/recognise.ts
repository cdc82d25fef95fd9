import { anyOf } from '../../../shared/exposure/intersect.ts';
import { medianCurve } from '../../../shared/exposure/median.ts';
import type { ProbeRecord } from '../../../shared/exposure/series.ts';
import { type AirSamples, airSamples, cadenceMs } from './air-samples.ts';
import { mistDoubt } from './doubt.ts';
import type { MistRecord, Pulse } from './pulse.ts';
import { type Dryness, type Tooth, toothTimesMs, vouchedFor } from './saw-tooth.ts';
import { valvePulses } from './valve.ts';

/** Probes that can show mist. */
type MistProbes = {
  readonly valve?: readonly ProbeRecord[] | undefined;
  readonly airTemperature?: readonly ProbeRecord[] | undefined;
  readonly airHumidity?: readonly ProbeRecord[] | undefined;
  readonly leafWetness?: readonly ProbeRecord[] | undefined;
};

type MistOptions = {
  /** longest time between joined readings, ms, > 0 */
  readonly maxGapMs: number;
  /** stated time from one pulse to the next, ms; null: taken from the record */
  readonly intervalMs: number | null;
};

/** A pulse lowers the air's vapour pressure deficit, kPa. Set on the demo, whose chip strays by 0.12 %RH. */
const AIR_TOOTH: Tooth = { leastFall: 0.0145, leastShare: 0.1, floor: 0.16 };
/** A pulse raises leaf wetness, 0…1. No record was at hand: common practice, no source. */
const WETNESS_TOOTH: Tooth = { leastFall: 0.1, leastShare: 0.1, floor: 0.25 };
/**
 * The mist pulses of a place: from its valve where one is recorded, else from saw-teeth of humidity and leaf wetness.
 *
 * In the air a pulse is a sudden fall of the vapour pressure deficit while vapour pressure does not fall: a cloud
 * before the sun cools the air at the same or less vapour, and is left out. Near saturation mist leaves no mark in
 * the air; that time is not covered. Needs a chip that counts in steps below 0.75 %RH, and at least 5 readings from one
 * pulse to the next (7 where the interval is not stated): else the answer says that it is not reliable, and why.
 * @param probes readings: valve 0 or 1, °C, %RH, wetness 0…1; give 30 minutes more on either side than is asked about
 * @param options longest gap, ms; stated interval, ms or null
 * @returns pulses, the time in which they would have been seen, and whether they are to be counted on
 * @example recognisePulses({ valve: [record] }, { maxGapMs: 900_000, intervalMs: null }).pulses
 */
export function recognisePulses(probes: MistProbes, options: MistOptions): MistRecord {
  const valve = (probes.valve ?? []).filter(({ timesMs }) => timesMs.length > 0);
  if (valve.length > 0)
    return { ...valvePulses(valve, options), reliable: true, reason: null, cadenceMs: null };
  return recogniseWater(probes, options);
}

/** The same from the air and the leaf alone, whatever the valve says: water that came. */
export function recogniseWater(probes: Omit<MistProbes, 'valve'>, options: MistOptions): MistRecord {
  const seen = [ofAir(probes, options), ofWetness(probes, options)].filter((one) => one.cadenceMs !== null);
  const pulses = oncePerPulse(seen.flatMap((one) => one.pulses));
  const cadences = seen.map((one) => one.cadenceMs ?? 0);
  const coarsestMs = cadences.length > 0 ? Math.max(...cadences) : null;
  const humidity = pulses.some(({ how }) => how === 'humidity') ? (probes.airHumidity ?? []) : [];
  const reason = mistDoubt({ pulses, humidity, intervalMs: options.intervalMs, cadenceMs: coarsestMs });
  const covered = anyOf(seen.map((one) => one.covered));
  return { pulses, covered, reliable: reason === null, reason, cadenceMs: coarsestMs };
}

function ofAir({ airTemperature = [], airHumidity = [] }: MistProbes, options: MistOptions) {
  const samples = airSamples({ temperature: airTemperature, humidity: airHumidity }, options);
  const { count, vapourKpa, saturatedKpa } = samples;
  const values = new Float64Array(count);
  for (let i = 0; i < count; i++) values[i] = (saturatedKpa[i] as number) - (vapourKpa[i] as number);
  const mayBeMist = (i: number) => pair(vapourKpa, i) >= pair(vapourKpa, i - 2);
  return seenIn({ ...samples, values, mayBeMist }, { tooth: AIR_TOOTH, how: 'humidity' });
}

function ofWetness({ leafWetness = [] }: MistProbes, options: MistOptions) {
  const { count, timesMs, values, joined } = medianCurve(leafWetness, options).knots;
  const stretchStart = new Int32Array(count);
  for (let i = 1; i < count; i++) stretchStart[i] = joined[i - 1] === 1 ? (stretchStart[i - 1] as number) : i;
  const dry = values.map((wetness) => 1 - wetness);
  const samples = { count, timesMs, stretchStart, values: dry, mayBeMist: () => true };
  return seenIn(samples, { tooth: WETNESS_TOOTH, how: 'wetness' });
}

function seenIn(dryness: Dryness, by: { readonly tooth: Tooth; readonly how: 'humidity' | 'wetness' }) {
  const pulses = toothTimesMs(dryness, by.tooth).map(
    (fromMs): Pulse => ({ fromMs, toMs: null, how: by.how }),
  );
  return { pulses, covered: vouchedFor(dryness, by.tooth), cadenceMs: cadenceMs(dryness) };
}

function pair(values: AirSamples['vapourKpa'], index: number): number {
  return (values[index] as number) + (values[index + 1] as number);
}

/** Air and leaf show one pulse within a few minutes of each other: the first of them stands. */
const SAME_PULSE_MS = 3 * 60_000;

function oncePerPulse(pulses: readonly Pulse[]): Pulse[] {
  const out: Pulse[] = [];
  for (const pulse of [...pulses].sort((a, b) => a.fromMs - b.fromMs)) {
    const last = out.at(-1);
    const isSame = last && last.how !== pulse.how && pulse.fromMs - last.fromMs <= SAME_PULSE_MS;
    if (!isSame) out.push(pulse);
  }
  return out;
}
