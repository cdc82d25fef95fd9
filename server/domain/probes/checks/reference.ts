import {
  type FixedPoint,
  ICE_POINT,
  type SaltName,
  saltHumidityPct,
} from '../../../../shared/climate/salts.ts';
import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { CheckKind, NewCheck, Reference } from '../../../../shared/model/probes/check.ts';
import { isTemperature } from '../left-out.ts';

/** Two salts that span what a chip is good for, where nothing else was chosen. */
const USUAL_SALTS: readonly SaltName[] = ['magnesium chloride', 'sodium chloride'];

/** How a probe of a quantity can be checked; empty for light, valves and the like. */
export function checkKinds(quantity: string | null): CheckKind[] {
  if (isTemperature(quantity)) return ['ice', 'beside'];
  return quantity === 'air/humidity' ? ['salts', 'beside'] : [];
}

/** What a check holds its probe against, step by step; salts from dry to wet, as a chip that was wet lags behind. */
export function referencesOf({ kind, salts, besideProbeId }: NewCheck): Reference[] {
  if (kind === 'ice') return [{ kind: 'ice' }];
  if (kind === 'beside')
    return besideProbeId === undefined ? [] : [{ kind: 'probe', probeId: besideProbeId }];
  const dryness = (salt: SaltName) => saltHumidityPct({ salt, temperatureC: 20 })?.value ?? 0;
  return [...new Set(salts ?? USUAL_SALTS)]
    .toSorted((a, b) => dryness(a) - dryness(b))
    .map((salt) => ({ kind: 'salt', salt }));
}

/**
 * What a probe in ice or over salt should read, and how sure that is.
 * @param reference ice or salt
 * @param at.temperatureC temperature over the salt, °C, null where it is not known; it may be off by `temperatureErrorK`, K
 * @returns °C or %RH, with the uncertainty to either side; null over salt of unknown temperature or beyond its table
 * @source [GREENSPAN77] table 1 and table 2
 * @example fixedPointOf({ kind: 'ice' }, { temperatureC: null, temperatureErrorK: 0.3 }) // { value: 0, uncertainty: 0.1 }
 */
export function fixedPointOf(
  reference: Exclude<Reference, { kind: 'probe' }>,
  { temperatureC, temperatureErrorK }: { temperatureC: number | null; temperatureErrorK: number },
): FixedPoint | null {
  if (reference.kind === 'ice') return ICE_POINT;
  if (temperatureC === null) return null;
  const { salt } = reference;
  const point = saltHumidityPct({ salt, temperatureC });
  if (point === null) return null;
  const beside = [-1, 1].map(
    (side) => saltHumidityPct({ salt, temperatureC: temperatureC + side * temperatureErrorK }) ?? point,
  );
  const moved = Math.max(...beside.map(({ value }) => Math.abs(value - point.value)));
  return { value: point.value, uncertainty: point.uncertainty + moved };
}

/**
 * How far a probe is from one beside it, at its own times, where the other is covered.
 * @param pair.other readings of the other, which is taken as straight between readings at most `maxGapMs` apart, ms
 * @returns times of the probe, and probe less other in their unit
 * @example differencesOf({ record, other: record, maxGapMs: 900_000 }).values // 0, 0, …
 */
export function differencesOf(pair: {
  readonly record: ProbeRecord;
  readonly other: ProbeRecord;
  readonly maxGapMs: number;
}): ProbeRecord {
  const { record, other, maxGapMs } = pair;
  const times: number[] = [];
  const values: number[] = [];
  let next = 0;
  record.timesMs.forEach((tMs, i) => {
    while (next < other.timesMs.length && (other.timesMs[next] as number) < tMs) next++;
    const otherValue = between(other, { next, tMs, maxGapMs });
    if (otherValue === null) return;
    times.push(tMs);
    values.push((record.values[i] as number) - otherValue);
  });
  return { timesMs: Float64Array.from(times), values: Float64Array.from(values) };
}

function between(
  { timesMs, values }: ProbeRecord,
  { next, tMs, maxGapMs }: { next: number; tMs: number; maxGapMs: number },
): number | null {
  const [rightMs, right] = [timesMs[next], values[next]];
  if (rightMs === tMs) return right ?? null;
  const [leftMs, left] = [timesMs[next - 1], values[next - 1]];
  if (leftMs === undefined || rightMs === undefined || rightMs - leftMs > maxGapMs) return null;
  const part = (tMs - leftMs) / (rightMs - leftMs);
  return (left as number) + part * ((right as number) - (left as number));
}
