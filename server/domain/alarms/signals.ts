import { ppfdFromIlluminance } from '../../../shared/climate/light.ts';
import { medianOf } from '../../../shared/exposure/sample.ts';
import type { Fresh, PlaceSampler } from './rules/sampler.ts';

/** The source of a rule that looks at the place as a whole. */
export const WHOLE_PLACE = 'place';

/** At this much light, µmol m⁻² s⁻¹, leaves open their pores and lose water. Common practice, no source. */
export const IN_LIGHT_PPFD = 20;

/** The photon flux a light reading stands for, µmol m⁻² s⁻¹. */
export function ppfdOf(reading: { quantity: string | null; value: number }, lxPerUmol: number): number {
  if (reading.quantity !== 'light/illuminance') return reading.value;
  return ppfdFromIlluminance({ illuminanceLx: reading.value, lxPerUmol });
}

/** The value of two positions, of the medians of their probes; null where either is stale. */
export function joined(
  sampler: PlaceSampler,
  [first, second]: readonly [Fresh, Fresh],
): { readonly tMs: number; readonly value: number } | null {
  if (!first || !second) return null;
  const [a, b] = [medianOf(first.values), medianOf(second.values)];
  const value = a === null || b === null ? null : sampler.value(a, b);
  return value === null ? null : { tMs: Math.max(first.tMs, second.tMs), value };
}

/** The newest readings at a position that are no older than a gap may last at a time. */
export function freshAt(
  newest: readonly { readonly tMs: number; readonly value: number }[],
  { tMs, maxGapMs }: { tMs: number; maxGapMs: number },
): Fresh {
  const fresh = newest.filter((one) => tMs - one.tMs <= maxGapMs);
  if (fresh.length === 0) return null;
  return { tMs: Math.max(...fresh.map((one) => one.tMs)), values: fresh.map(({ value }) => value) };
}

/**
 * Whether what other probes read together shows that a place has recovered: not from what began while one still reported
 * that is silent now.
 * @param newest of each probe that bears on it, fresh or not
 * @returns absent where all are fresh
 */
export function recoveryOf(
  newest: readonly { readonly tMs: number }[],
  { tMs, maxGapMs }: { tMs: number; maxGapMs: number },
): ((sinceMs: number) => boolean) | undefined {
  const silent = newest.filter((one) => tMs - one.tMs > maxGapMs);
  if (silent.length === 0) return undefined;
  const lastMs = Math.max(...silent.map((one) => one.tMs));
  return (sinceMs) => lastMs < sinceMs;
}
