import { vapourPressureKpa } from '../../../shared/climate/humidity.ts';
import type { ProbeRecord } from '../../../shared/exposure/series.ts';

/** What a cause is looked for in: the readings of a place up to a moment; null where no probe measures it. */
export type Scene = {
  /** the moment at which it is judged, ms since epoch; nothing later is read */
  readonly atMs: number;
  readonly air: ProbeRecord | null;
  readonly root: ProbeRecord | null;
  /** %RH */
  readonly humidity: ProbeRecord | null;
  /** µmol m⁻² s⁻¹ */
  readonly light: ProbeRecord | null;
  /** air around the place: outside, or the room, °C */
  readonly outside: ProbeRecord | null;
  /** 0 shut, 1 open, at each change and every five minutes */
  readonly valve: ProbeRecord | null;
  /** it stands under a dome, in a case or a frame */
  readonly covered: boolean;
};

/** What moved in a scene, and how; null where it is not known. Changes are of the newest value against that of before. */
export type Signals = {
  readonly covered: boolean;
  /** change over 30 min, K */
  readonly airK: number | null;
  readonly rootK: number | null;
  readonly outsideK: number | null;
  /** largest change within 5 min of the last 40, K, and of the vapour as a share of what it was */
  readonly airLeapK: number | null;
  readonly rootLeapK: number | null;
  readonly vapourLeap: number | null;
  /** change of the vapour pressure over 30 min as a share of what it was */
  readonly vapour: number | null;
  readonly humidityPct: number | null;
  /** change of humidity over 30 min, %RH */
  readonly humidityMovedPct: number | null;
  /** light now, and its change over 40 min, µmol m⁻² s⁻¹ */
  readonly lightUmol: number | null;
  readonly lightMovedUmol: number | null;
  /** root zone minus air now, K; and minus air before, an hour ago at least */
  readonly rootOverAirK: number | null;
  readonly rootOverAirBeforeK: number | null;
  /** how far the root zone went along with the air minute by minute in the last 20, K of spread between them */
  readonly airOverOutsideK: number | null;
  /** longest time without any reading in the last 6 h, min, and how much colder the air was after it than before, K */
  readonly silentMin: number;
  readonly colderAfterSilenceK: number | null;
  /** openings of the valve an hour, in the 90 min before the last hour and in the last 30 min; share of the last 15 min open */
  readonly pulsesBefore: number | null;
  readonly pulsesLately: number | null;
  readonly openShare: number | null;
  /** mean rise of humidity in the 2 min after a pulse, before and lately, %RH */
  readonly answerBeforePct: number | null;
  readonly answerLatelyPct: number | null;
  /** mean fall of the root zone within 3 min of a pulse, less that of other times, K */
  readonly rootFallOnPulseK: number | null;
};

const MIN_MS = 60_000;
const FRESH_MS = 6 * MIN_MS;

/** The value a probe had at a moment, the mean of the readings of the two minutes before it; null without any. */
function valueAt(record: ProbeRecord | null, atMs: number, overMs = 2 * MIN_MS): number | null {
  if (record === null) return null;
  let [sum, count, newest] = [0, 0, Number.NaN];
  for (let n = endOf(record, atMs) - 1; n >= 0; n--) {
    const ageMs = atMs - (record.timesMs[n] as number);
    if (ageMs > FRESH_MS) break;
    if (Number.isNaN(newest)) newest = record.values[n] as number;
    if (ageMs >= overMs) break;
    sum += record.values[n] as number;
    count++;
  }
  if (count > 0) return sum / count;
  return Number.isNaN(newest) ? null : newest;
}

/** How many readings are not later than a moment. */
function endOf({ timesMs }: ProbeRecord, atMs: number): number {
  let [low, high] = [0, timesMs.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((timesMs[middle] as number) <= atMs) low = middle + 1;
    else high = middle;
  }
  return low;
}

function moved(record: ProbeRecord | null, atMs: number, min: number): number | null {
  return difference(valueAt(record, atMs), valueAt(record, atMs - min * MIN_MS));
}

function difference(one: number | null, other: number | null): number | null {
  return one === null || other === null ? null : one - other;
}

/** Largest change within five minutes of the last 40, with its sign. */
function leap(courseOf: (atMs: number) => number | null, atMs: number): number | null {
  let found: number | null = null;
  for (let min = 0; min <= 35; min++) {
    const toMs = atMs - min * MIN_MS;
    const change = difference(courseOf(toMs), courseOf(toMs - 5 * MIN_MS));
    if (change !== null && (found === null || Math.abs(change) > Math.abs(found))) found = change;
  }
  return found;
}

/**
 * What moved in a scene, by its readings up to the moment of judging.
 * @param scene readings of an hour and a half at least
 * @returns changes and answers to mist; null for what is not measured
 * @example signalsOf({ atMs: 0, air: null, root: null, humidity: null, light: null, outside: null, valve: null, covered: true }).airK // null
 */
export function signalsOf(scene: Scene): Signals {
  const { atMs, air, root, humidity, light, outside, covered } = scene;
  const vapourAt = (tMs: number): number | null => {
    const [airTemperatureC, relativeHumidityPct] = [valueAt(air, tMs), valueAt(humidity, tMs)];
    if (airTemperatureC === null || relativeHumidityPct === null) return null;
    const pct = Math.min(100, Math.max(0, relativeHumidityPct));
    return vapourPressureKpa({ airTemperatureC, relativeHumidityPct: pct });
  };
  const share = (change: number | null, of: number | null) => (change === null || !of ? null : change / of);
  const halfHourAgo = vapourAt(atMs - 30 * MIN_MS);
  const over = (tMs: number) => difference(valueAt(root, tMs), valueAt(air, tMs));
  return {
    covered,
    airK: moved(air, atMs, 30),
    rootK: moved(root, atMs, 30),
    outsideK: moved(outside, atMs, 60),
    airLeapK: leap((tMs) => valueAt(air, tMs), atMs),
    rootLeapK: leap((tMs) => valueAt(root, tMs), atMs),
    vapourLeap: share(leap(vapourAt, atMs), halfHourAgo),
    vapour: share(difference(vapourAt(atMs), halfHourAgo), halfHourAgo),
    humidityPct: valueAt(humidity, atMs),
    humidityMovedPct: moved(humidity, atMs, 30),
    lightUmol: valueAt(light, atMs),
    lightMovedUmol: moved(light, atMs, 40),
    rootOverAirK: over(atMs),
    rootOverAirBeforeK: over(atMs - 75 * MIN_MS),
    airOverOutsideK: difference(valueAt(air, atMs), valueAt(outside, atMs)),
    ...silenceOf(scene),
    ...mistOf(scene),
  };
}

const SILENCE_MS = 6 * 60 * MIN_MS;

function silenceOf({ air, root, humidity, atMs }: Scene) {
  const records = [air, root, humidity].filter((record) => record !== null);
  const times = records
    .flatMap((record) => [...record.timesMs.subarray(0, endOf(record, atMs))])
    .filter((tMs) => tMs >= atMs - SILENCE_MS)
    .sort((a, b) => a - b);
  let longest = { ms: 0, fromMs: atMs, toMs: atMs };
  for (let n = 1; n < times.length; n++) {
    const [fromMs, toMs] = [times[n - 1] as number, times[n] as number];
    if (toMs - fromMs > longest.ms) longest = { ms: toMs - fromMs, fromMs, toMs };
  }
  const before = valueAt(air, longest.fromMs);
  const after = valueAt(air, longest.toMs + 2 * MIN_MS);
  return { silentMin: longest.ms / MIN_MS, colderAfterSilenceK: difference(before, after) };
}

function mistOf({ valve, humidity, root, atMs }: Scene) {
  const nothing = {
    pulsesBefore: null,
    pulsesLately: null,
    openShare: null,
    answerBeforePct: null,
    answerLatelyPct: null,
    rootFallOnPulseK: null,
  };
  if (valve === null) return nothing;
  const opened = openings(valve, atMs);
  const lateMs = atMs - 30 * MIN_MS;
  const before = opened.filter((tMs) => tMs > atMs - 150 * MIN_MS && tMs <= atMs - 60 * MIN_MS);
  const lately = opened.filter((tMs) => tMs > lateMs);
  return {
    pulsesBefore: before.length / 1.5,
    pulsesLately: lately.length * 2,
    openShare: openShareOf(valve, { fromMs: atMs - 15 * MIN_MS, toMs: atMs }),
    answerBeforePct: mean(before.map((tMs) => change(humidity, tMs, 2))),
    answerLatelyPct: mean(
      lately.filter((tMs) => tMs <= atMs - 2 * MIN_MS).map((tMs) => change(humidity, tMs, 2)),
    ),
    rootFallOnPulseK: rootFall(
      root,
      lately.filter((tMs) => tMs <= atMs - 3 * MIN_MS),
      atMs,
    ),
  };
}

function openings({ timesMs, values }: ProbeRecord, atMs: number): number[] {
  const found: number[] = [];
  for (let n = 1; n < timesMs.length && (timesMs[n] as number) <= atMs; n++)
    if ((values[n] as number) > 0.5 && (values[n - 1] as number) <= 0.5) found.push(timesMs[n] as number);
  return found;
}

function openShareOf({ timesMs, values }: ProbeRecord, span: { fromMs: number; toMs: number }): number {
  let openMs = 0;
  for (let n = 0; n < timesMs.length; n++) {
    const fromMs = Math.max(span.fromMs, timesMs[n] as number);
    const toMs = Math.min(span.toMs, timesMs[n + 1] ?? span.toMs);
    if ((values[n] as number) > 0.5 && toMs > fromMs) openMs += toMs - fromMs;
  }
  return openMs / (span.toMs - span.fromMs);
}

/** Change within some minutes from just before a moment. */
function change(record: ProbeRecord | null, tMs: number, min: number): number | null {
  return difference(valueAt(record, tMs + min * MIN_MS, MIN_MS), valueAt(record, tMs - 1, MIN_MS));
}

/** How much more the root zone falls in the three minutes after a pulse than it does at any time, K. */
function rootFall(root: ProbeRecord | null, pulses: readonly number[], atMs: number): number | null {
  const onPulse = mean(pulses.map((tMs) => change(root, tMs, 3)));
  const whole = moved(root, atMs, 30);
  return onPulse === null || whole === null ? null : whole / 10 - onPulse;
}

function mean(values: readonly (number | null)[]): number | null {
  const known = values.filter((value) => value !== null);
  return known.length === 0 ? null : known.reduce((sum, value) => sum + value, 0) / known.length;
}
