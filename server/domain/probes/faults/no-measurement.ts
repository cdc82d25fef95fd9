import type { Finding } from '../../../../shared/model/probes/finding.ts';
import {
  type CheckedProbe,
  type CheckScope,
  EVENT_ACTIVE_MS,
  findingOf,
  type Stretch,
} from '../check-scope.ts';
import { CHIP_RANGE_C, type LeftOut, type LeftOutKind, leftOutOf } from '../left-out.ts';

const KINDS: readonly LeftOutKind[] = ['power-up', 'disconnected', 'beyond-range'];

/**
 * Probes that sent what is no measurement: the power-up value, no answer, or a value beyond a chip's range.
 * @param scope probes of one place over a window
 * @returns one finding a probe and kind, from the first such reading to the last
 * @source [ONE-WIRE]
 * @example noMeasurements({ ...look, probes: [] }) // []
 */
export function noMeasurements(scope: CheckScope): Finding[] {
  return scope.probes.flatMap((probe) => {
    const out = leftOutOf(probe.record, { quantity: probe.quantity, maxGapMs: scope.maxGapMs });
    return KINDS.flatMap((finding) => {
      const ofKind = out.filter(({ kind }) => kind === finding);
      const stretches = ofKind.map((one) => stretchOf(probe, one));
      return findingOf(probe, stretches, { finding, fromMs: scope.fromMs, activeMs: EVENT_ACTIVE_MS });
    });
  });
}

function stretchOf({ record }: CheckedProbe, { index, kind }: LeftOut): Stretch {
  const tMs = record.timesMs[index] as number;
  const seen = record.values[index] as number;
  const limit = kind !== 'beyond-range' ? null : seen < 0 ? CHIP_RANGE_C.low : CHIP_RANGE_C.high;
  return { fromMs: tMs, toMs: tMs, readings: 1, facts: { seen, limit, other: nearest(record, index) } };
}

/** The nearest other value, before it or else after it. */
function nearest({ values }: CheckedProbe['record'], index: number): number | null {
  const seen = values[index];
  for (let i = index - 1; i >= 0; i--) if (values[i] !== seen) return values[i] as number;
  for (let i = index + 1; i < values.length; i++) if (values[i] !== seen) return values[i] as number;
  return null;
}
