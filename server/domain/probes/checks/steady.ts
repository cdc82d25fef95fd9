import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Reference } from '../../../../shared/model/probes/check.ts';
import type { Criterion } from '../../../../shared/wire/probes/checks.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

/** Longest pause between readings that are judged together, and since the newest, ms. Common practice, no source. */
const LONGEST_PAUSE_MS = 10 * MINUTE_MS;

/** When readings are taken to have come to rest, in the unit of what is judged. */
type SteadyRule = {
  /** least time in the bath, jar or place, ms */
  readonly inPlaceMs: number;
  /** the last stretch, which is judged, ms */
  readonly windowMs: number;
  /** most between its lowest and its highest reading */
  readonly spread: number;
  /** most by which a straight line through it rises or falls, an hour */
  readonly slopePerHour: number;
  /** most between lowest and highest temperature over a salt solution, K */
  readonly temperatureSpreadK: number | null;
};

/**
 * The rules of rest. 20 min for a small probe, an hour for a bulky one [PADFIELD]; the hours that a jar takes in which
 * solution and probe are set up together, and all limits of spread and slope, are common practice without a source.
 */
const RULES = {
  ice: {
    inPlaceMs: 20 * MINUTE_MS,
    windowMs: 20 * MINUTE_MS,
    spread: 0.3,
    slopePerHour: 0.3,
    temperatureSpreadK: null,
  },
  salt: {
    inPlaceMs: 4 * HOUR_MS,
    windowMs: HOUR_MS,
    spread: 1,
    slopePerHour: 0.5,
    temperatureSpreadK: 0.5,
  },
  besideTemperature: {
    inPlaceMs: HOUR_MS,
    windowMs: HOUR_MS,
    spread: 1,
    slopePerHour: 0.5,
    temperatureSpreadK: null,
  },
  besideHumidity: {
    inPlaceMs: HOUR_MS,
    windowMs: HOUR_MS,
    spread: 5,
    slopePerHour: 3,
    temperatureSpreadK: null,
  },
} as const satisfies Record<string, SteadyRule>;

/**
 * The rule by which a probe has come to rest against a reference.
 * @param reference ice, salt or a probe beside it
 * @param quantity `<position>/<quantity>` of the probe
 * @returns times in ms, limits in °C, K or %RH
 * @example steadyRule({ kind: 'ice' }, 'root/temperature').spread // 0.3
 */
export function steadyRule(reference: Reference, quantity: string): SteadyRule {
  if (reference.kind !== 'probe') return RULES[reference.kind];
  return quantity === 'air/humidity' ? RULES.besideHumidity : RULES.besideTemperature;
}

type Rest = {
  readonly steady: boolean;
  readonly criteria: readonly Criterion[];
  /** readings of the last stretch, and their mean */
  readonly readings: number;
  readonly mean: number | null;
};

/**
 * Whether readings have come to rest, and what is still missing. Only their own times count: how fast they arrive does
 * not, nor in which order.
 * @param state.record readings since the probe was put where it is, as it reports them; or their differences
 * @param state.sinceMs since when it is there, and `untilMs` until when readings count; ms since epoch
 * @param state.temperatures over a salt solution, °C; null where none is judged
 * @returns what each criterion has and needs: times in minutes, values in the unit of the record
 * @example judgeRest({ record: { timesMs: new Float64Array(), values: new Float64Array() }, sinceMs: 0, untilMs: 0, temperatures: null }, rule).steady // false
 */
export function judgeRest(
  state: {
    readonly record: ProbeRecord;
    readonly sinceMs: number;
    readonly untilMs: number;
    readonly temperatures: ProbeRecord | null;
  },
  rule: SteadyRule,
): Rest {
  const { record, sinceMs, untilMs, temperatures } = state;
  const newestMs = record.timesMs.at(-1) ?? null;
  const fromMs = (newestMs ?? untilMs) - rule.windowMs;
  const last = lastStretch(record, fromMs);
  const minutes = (ms: number | null) => (ms === null ? null : ms / MINUTE_MS);
  const most = (name: Criterion['name'], has: number | null, needs: number): Criterion => ({
    name,
    has,
    needs,
    met: has !== null && has <= needs + 1e-9,
  });
  const inPlace = minutes(newestMs === null ? null : newestMs - sinceMs);
  const needed = rule.inPlaceMs / MINUTE_MS;
  const pauseMs = longestPauseMs(last, Math.max(fromMs, sinceMs));
  const criteria: Criterion[] = [
    { name: 'in-place', has: inPlace, needs: needed, met: inPlace !== null && inPlace >= needed },
    most('fresh', minutes(newestMs === null ? null : untilMs - newestMs), LONGEST_PAUSE_MS / MINUTE_MS),
    most('unbroken', minutes(pauseMs), LONGEST_PAUSE_MS / MINUTE_MS),
    most('spread', spreadOf(last.values), rule.spread),
    most('slope', slopePerHour(last), rule.slopePerHour),
  ];
  if (rule.temperatureSpreadK !== null && temperatures !== null) {
    const { values } = lastStretch(temperatures, fromMs);
    criteria.push(most('temperature', spreadOf(values), rule.temperatureSpreadK));
  }
  return {
    steady: criteria.every(({ met }) => met),
    criteria,
    readings: last.values.length,
    mean: meanOf(last.values),
  };
}

/** The readings from a time on, ms since epoch. */
export function lastStretch({ timesMs, values }: ProbeRecord, fromMs: number): ProbeRecord {
  const start = timesMs.findIndex((tMs) => tMs >= fromMs);
  return start < 0
    ? { timesMs: new Float64Array(), values: new Float64Array() }
    : { timesMs: timesMs.subarray(start), values: values.subarray(start) };
}

/** Their mean, in their unit; null of none. */
export function meanOf(values: Float64Array): number | null {
  return values.length === 0 ? null : values.reduce((sum, value) => sum + value, 0) / values.length;
}

function longestPauseMs({ timesMs }: ProbeRecord, fromMs: number): number | null {
  if (timesMs.length < 2) return null;
  return timesMs.reduce((longest, tMs, i) => Math.max(longest, tMs - (timesMs[i - 1] ?? fromMs)), 0);
}

function spreadOf(values: Float64Array): number | null {
  return values.length < 2 ? null : Math.max(...values) - Math.min(...values);
}

/** Rise or fall of the straight line of least squares, an hour, without its sign. */
function slopePerHour({ timesMs, values }: ProbeRecord): number | null {
  const [midMs, mid] = [meanOf(timesMs), meanOf(values)];
  if (midMs === null || mid === null || timesMs.length < 3) return null;
  let [along, across] = [0, 0];
  timesMs.forEach((tMs, i) => {
    const hours = (tMs - midMs) / HOUR_MS;
    along += hours * hours;
    across += hours * ((values[i] as number) - mid);
  });
  return Math.abs(across / along);
}
