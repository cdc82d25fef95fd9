import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Finding } from '../../../../shared/model/probes/finding.ts';
import { type CheckedProbe, type CheckScope, findingOf, type Stretch } from '../check-scope.ts';

/** Humidity from here on counts as at its top, %RH. Common practice, no source. */
const TOP_PCT = 99;
/** Mist is in the air no longer than this after the valve shut, ms. Common practice, no source. */
const MIST_HANGS_MS = 30 * 60_000;
/** Air that has warmed by so much holds an eighth more vapour when saturated; no pulse brought it. Common practice, no source. */
const WARMED_K = 2;

/**
 * Humidity probes that stayed wet after a mist pulse: still at their top half an hour after the valve shut, though the
 * air has warmed by 2 K and no water came. Judged where a mist valve reports and an air temperature is read.
 * @param scope probes of one place over a window, without readings that are no measurement
 * @returns one finding a probe; seen: K warmed; other: minutes since the mist
 * @example wetSensors({ ...look, probes: [] }) // []
 */
export function wetSensors(scope: CheckScope): Finding[] {
  const of = (quantity: string) => scope.probes.filter((probe) => probe.quantity === quantity);
  const [valve] = of('mist/valve');
  const [air] = of('air/temperature');
  if (!valve || !air) return [];
  const pauses = pausesOf(valve.record, scope.toMs);
  return of('air/humidity').flatMap((probe) => {
    const stretches = pauses.flatMap((pause) => wetIn(pause, { probe, air, maxGapMs: scope.maxGapMs }));
    return findingOf(probe, stretches, {
      finding: 'wet-sensor',
      fromMs: scope.fromMs,
      activeMs: scope.maxGapMs,
    });
  });
}

type Pause = { readonly shutMs: number; readonly endMs: number };

/** The times from each shutting of the valve to its next opening that are long enough to tell. */
function pausesOf({ timesMs, values }: ProbeRecord, endMs: number): Pause[] {
  const pauses: Pause[] = [];
  let shutMs: number | null = null;
  for (let i = 1; i < values.length; i++) {
    const [before, now] = [values[i - 1] as number, values[i] as number];
    if (before > 0 && now === 0) shutMs = timesMs[i] as number;
    if (now > 0 && shutMs !== null) {
      pauses.push({ shutMs, endMs: timesMs[i] as number });
      shutMs = null;
    }
  }
  if (shutMs !== null) pauses.push({ shutMs, endMs });
  return pauses.filter((pause) => pause.endMs - pause.shutMs > MIST_HANGS_MS);
}

function wetIn(
  { shutMs, endMs }: Pause,
  {
    probe,
    air,
    maxGapMs,
  }: { readonly probe: CheckedProbe; readonly air: CheckedProbe; readonly maxGapMs: number },
): Stretch[] {
  const topUntilMs = lastAtTop(probe.record, { fromMs: shutMs, toMs: endMs, maxGapMs });
  if (topUntilMs === null || topUntilMs - shutMs <= MIST_HANGS_MS) return [];
  let lowest = Number.POSITIVE_INFINITY;
  let found: { atMs: number; seen: number } | null = null;
  air.record.timesMs.forEach((tMs, i) => {
    if (tMs < shutMs || tMs > topUntilMs) return;
    const value = air.record.values[i] as number;
    lowest = Math.min(lowest, value);
    const seen = value - lowest;
    if (seen >= WARMED_K && tMs - shutMs > MIST_HANGS_MS && seen > (found?.seen ?? 0))
      found = { atMs: tMs, seen };
  });
  if (!found) return [];
  const { seen } = found as { seen: number };
  const facts = { seen, limit: WARMED_K, other: (topUntilMs - shutMs) / 60_000 };
  return [{ fromMs: shutMs, toMs: topUntilMs, readings: 0, facts }];
}

/** Until when a humidity stayed at its top without a break from a time on; null where it was not there. */
function lastAtTop(
  { timesMs, values }: ProbeRecord,
  { fromMs, toMs, maxGapMs }: { readonly fromMs: number; readonly toMs: number; readonly maxGapMs: number },
): number | null {
  let lastMs: number | null = null;
  for (let i = 0; i < values.length; i++) {
    const tMs = timesMs[i] as number;
    if (tMs < fromMs) continue;
    if (tMs > toMs || (values[i] as number) < TOP_PCT || tMs - (lastMs ?? fromMs) > maxGapMs) break;
    lastMs = tMs;
  }
  return lastMs;
}
