import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Finding } from '../../../../shared/model/probes/finding.ts';
import { type CheckScope, EVENT_ACTIVE_MS, findingOf, type Stretch } from '../check-scope.ts';
import { isTemperature } from '../left-out.ts';

/** A step counts from here, there and back in one reading: K, %RH. @source [ZAHUMENSKY04] */
const STEP = { temperatureK: 3, humidityPct: 15 };
/** Air may really come and go between readings further apart than this, as when a cover is lifted, ms. Common practice, no source. */
const AIR_WITHIN_MS = 3 * 60_000;
/** A medium may not, within this, ms. Common practice, no source. */
const ROOT_WITHIN_MS = 15 * 60_000;

/**
 * Probes of which a single reading leaps away from both its neighbours, there and back: wiring, power or radio, and
 * hardly ever the climate. Mist and vents step one way, and stay for more than a reading.
 * @param scope probes of one place over a window, without readings that are no measurement
 * @returns one finding a probe, from the first such reading to the last; seen: largest step, K or %RH
 * @source [ZAHUMENSKY04]
 * @example jumps({ ...look, probes: [] }) // []
 */
export function jumps(scope: CheckScope): Finding[] {
  return scope.probes.flatMap((probe) => {
    const limit = limitOf(probe.quantity);
    if (limit === null) return [];
    const withinMs = probe.quantity === 'root/temperature' ? ROOT_WITHIN_MS : AIR_WITHIN_MS;
    const stretches = leaps(probe.record, { limit, withinMs });
    return findingOf(probe, stretches, { finding: 'jump', fromMs: scope.fromMs, activeMs: EVENT_ACTIVE_MS });
  });
}

function limitOf(quantity: string): number | null {
  if (quantity === 'air/humidity') return STEP.humidityPct;
  return isTemperature(quantity) ? STEP.temperatureK : null;
}

function leaps(
  { timesMs, values }: ProbeRecord,
  { limit, withinMs }: { readonly limit: number; readonly withinMs: number },
): Stretch[] {
  const found: Stretch[] = [];
  for (let i = 1; i + 1 < values.length; i++) {
    const [beforeMs, tMs, afterMs] = [timesMs[i - 1], timesMs[i], timesMs[i + 1]] as [number, number, number];
    if (tMs - beforeMs > withinMs || afterMs - tMs > withinMs) continue;
    const there = (values[i] as number) - (values[i - 1] as number);
    const back = (values[i] as number) - (values[i + 1] as number);
    const seen = Math.min(Math.abs(there), Math.abs(back));
    if (there * back <= 0 || seen < limit) continue;
    found.push({ fromMs: tMs, toMs: tMs, readings: 1, facts: { seen, limit } });
  }
  return found;
}
