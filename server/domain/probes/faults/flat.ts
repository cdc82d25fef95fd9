import { MS_PER_HOUR, type ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { Finding, FindingKind } from '../../../../shared/model/probes/finding.ts';
import { type CheckedProbe, type CheckScope, findingOf, type Stretch } from '../check-scope.ts';
import { isTemperature } from '../left-out.ts';
import { type Run, runsWhere } from '../runs.ts';

/** Humidity from here on counts as at its top, %RH: cheap chips end at 99.9 or 100. Common practice, no source. */
const TOP_PCT = 99;
/** A sound chip still stirs a little at its top; one that is wet through does not by more than this, %RH. Common practice, no source. */
const TOP_STIRS_PCT = 0.5;
/** Longer than this at its top and a humidity is suspect, ms. Common practice, no source. */
const STUCK_MS = 6 * MS_PER_HOUR;
/** No air in which cuttings stand is as dry as this, %RH; a chip that fails reads 0. Common practice, no source. */
const ZERO_PCT = 0.5;
const ZERO_MS = 10 * 60_000;
/**
 * No change at all for as long is a flat line, ms: one hour without 0.1 K or 1 %RH is suspect in the open
 * [ZAHUMENSKY04]; a steered root zone under a cover is held stiller, so six times that.
 */
const FLAT_MS = 6 * MS_PER_HOUR;
/** Where nothing else at the place moved either, ms. Common practice, no source. */
const FLAT_ALONE_MS = 12 * MS_PER_HOUR;
/** Where the probe counts in coarse steps, ms. Common practice, no source. */
const FLAT_COARSE_MS = 24 * MS_PER_HOUR;
/** Finer steps than this, K or %RH, show a still climate stirring. */
const FINE_STEP = 0.13;
/** What another probe must have moved to count as moving: K, %RH. Common practice, no source. */
const MOVED = { temperatureK: 1, humidityPct: 5 };
const LEAST_READINGS = 12;
/** Places whose cover keeps the air near saturation all day. */
const KEPT_DAMP: readonly CheckScope['kind'][] = ['dome', 'case', 'frame'];

/**
 * Probes that report one and the same value for hours: flat lines, humidity stuck at its top, humidity at zero.
 * @param scope probes of one place over a window, without readings that are no measurement
 * @returns one finding a probe and kind; other: the longest time it lasted, h
 * @source [ZAHUMENSKY04]
 * @example flatLines({ ...look, probes: [] }) // []
 */
export function flatLines(scope: CheckScope): Finding[] {
  return scope.probes.flatMap((probe) => {
    const found = (finding: FindingKind, stretches: Stretch[]) =>
      findingOf(probe, stretches, { finding, fromMs: scope.fromMs, activeMs: 0 });
    if (probe.quantity === 'air/humidity') {
      return [
        // under a closed cover air at its top is as it should be
        ...(KEPT_DAMP.includes(scope.kind) ? [] : found('humidity-stuck', atTop(probe, scope))),
        ...found('humidity-zero', atZero(probe, scope)),
        ...found('flat', flat(probe, scope)),
      ];
    }
    return isTemperature(probe.quantity) ? found('flat', flat(probe, scope)) : [];
  });
}

function atTop({ record }: CheckedProbe, { maxGapMs }: CheckScope): Stretch[] {
  const runs = runsWhere(record, {
    maxGapMs,
    joins: (value, run) =>
      value >= TOP_PCT && Math.max(run.max, value) - Math.min(run.min, value) <= TOP_STIRS_PCT,
  });
  const stuck = runs.filter(({ min, fromMs, toMs }) => min >= TOP_PCT && toMs - fromMs > STUCK_MS);
  return stuck.map((run) => stretch(run, { seen: run.min, limitMs: STUCK_MS }));
}

function atZero({ record }: CheckedProbe, { maxGapMs }: CheckScope): Stretch[] {
  const runs = runsWhere(record, {
    maxGapMs,
    joins: (value, run) => value <= ZERO_PCT === run.max <= ZERO_PCT,
  });
  const zero = runs.filter(({ max, fromMs, toMs }) => max <= ZERO_PCT && toMs - fromMs >= ZERO_MS);
  return zero.map((run) => stretch(run, { seen: run.min, limitMs: ZERO_MS }));
}

function flat(probe: CheckedProbe, scope: CheckScope): Stretch[] {
  const step = smallestStep(probe.record);
  const runs = runsWhere(probe.record, {
    maxGapMs: scope.maxGapMs,
    joins: (value, run) => value === run.max,
  });
  const own = probe.quantity === 'air/humidity';
  return runs.flatMap((run) => {
    if (run.toMs - run.fromMs < FLAT_MS || run.readings < LEAST_READINGS) return [];
    if (own && (run.min >= TOP_PCT || run.max <= ZERO_PCT)) return [];
    const limitMs = flatLimitMs(step, othersMoved(probe, run, scope));
    return limitMs !== null && run.toMs - run.fromMs >= limitMs
      ? [stretch(run, { seen: run.max, limitMs })]
      : [];
  });
}

function flatLimitMs(step: number | null, moved: boolean): number | null {
  if (step === null) return moved ? FLAT_ALONE_MS : null;
  if (step > FINE_STEP) return moved ? FLAT_COARSE_MS : null;
  return moved ? FLAT_MS : FLAT_ALONE_MS;
}

function othersMoved(probe: CheckedProbe, run: Run, { probes }: CheckScope): boolean {
  return probes.some((other) => {
    if (other.probeId === probe.probeId) return false;
    const humid = other.quantity === 'air/humidity';
    if (!humid && !isTemperature(other.quantity)) return false;
    let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    other.record.timesMs.forEach((tMs, i) => {
      if (tMs < run.fromMs || tMs > run.toMs) return;
      low = Math.min(low, other.record.values[i] as number);
      high = Math.max(high, other.record.values[i] as number);
    });
    return high - low >= (humid ? MOVED.humidityPct : MOVED.temperatureK);
  });
}

function smallestStep({ values }: ProbeRecord): number | null {
  let smallest = Number.POSITIVE_INFINITY;
  for (let i = 1; i < values.length; i++) {
    const step = Math.abs((values[i] as number) - (values[i - 1] as number));
    if (step > 0 && step < smallest) smallest = step;
  }
  return Number.isFinite(smallest) ? smallest : null;
}

function stretch(run: Run, { seen, limitMs }: { seen: number; limitMs: number }): Stretch {
  const hours = (ms: number) => ms / MS_PER_HOUR;
  const facts = { seen, limit: hours(limitMs), other: hours(run.toMs - run.fromMs) };
  return { fromMs: run.fromMs, toMs: run.toMs, readings: run.readings, facts };
}
