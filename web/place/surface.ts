import type { Probe, Reading } from '../../shared/model/probes/probe.ts';

/** The coldest watched surface of a place, on which water would condense first. */
export type Surface = { readonly kind: 'wall' | 'outside'; readonly temperatureC: number };

/**
 * The coldest wall that reports, or the outside air as a stand-in where no wall is watched.
 * @param at.staleAfterMs a probe that has not reported for longer does not count, ms
 */
export function coldestSurface(
  probes: readonly (Probe & { readonly latest?: Reading | null })[],
  at: { placeId: string; nowMs: number; staleAfterMs: number },
): Surface | null {
  for (const kind of ['wall', 'outside'] as const) {
    const reporting = probes
      .filter(({ placeId, quantity }) => placeId === at.placeId && quantity === `${kind}/temperature`)
      .flatMap(({ latest }) => (latest && at.nowMs - latest.tMs <= at.staleAfterMs ? [latest.value] : []));
    if (reporting.length > 0) return { kind, temperatureC: Math.min(...reporting) };
  }
  return null;
}
