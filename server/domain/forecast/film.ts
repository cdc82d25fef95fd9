const MIN_MS = 60_000;

/** How fast a film that is whole dries at a moment: minutes it would last; null where it never does; undefined: not known. */
export type FilmMinutes = (tMs: number) => number | null | undefined;

type Cycle = {
  /** when mist last wetted the leaves, ms since epoch */
  readonly wetMs: number;
  /** when the next pulse came, or is due, ms since epoch */
  readonly nextMs: number;
};

/**
 * When the film on the leaves is gone: what of it dries off minute by minute in the air and light of each, and after the
 * moment as in its last.
 * @param cycle from the end of one pulse to the start of the next
 * @param minutesAt how long a whole film lasts
 * @param nowMs what comes after it is not looked at, ms since epoch
 * @returns ms since epoch, `nextMs` at the latest; null where it lasts until the next pulse, or the air is not known
 * @example driesAt({ wetMs: 0, nextMs: 1_200_000 }, () => 10, 0) // 600000
 */
export function driesAt({ wetMs, nextMs }: Cycle, minutesAt: FilmMinutes, nowMs: number): number | null {
  let left = 1;
  for (let tMs = wetMs; tMs < nextMs; tMs += MIN_MS) {
    const minutes = minutesAt(Math.min(tMs, nowMs));
    if (minutes === undefined) return null;
    if (minutes === null) continue;
    const part = 1 / Math.max(minutes, 0.1);
    if (part >= left) {
      const dryMs = Math.round(tMs + (left / part) * MIN_MS);
      return dryMs < nextMs ? dryMs : null;
    }
    left -= part;
  }
  return null;
}

/**
 * When the film dried out before the next pulse, of all pulses of a stretch.
 * @param pulses ascending; the last has no next one and is left out
 * @param options.lit only films that lay in light count
 * @param options.longestMs a pulse that comes later was not the next one: mist was off, ms
 * @param options.leastDryMs a film that dries less than this before the next pulse is as good as wet, ms
 * @example driedBetween([{ fromMs: 0, toMs: 0 }, { fromMs: 1_200_000, toMs: null }], { minutesAt: () => 10, lit: () => true, longestMs: 2e6, leastDryMs: 0 }) // [600000]
 */
export function driedBetween(
  pulses: readonly { readonly fromMs: number; readonly toMs: number | null }[],
  {
    minutesAt,
    lit,
    longestMs,
    leastDryMs,
  }: {
    readonly minutesAt: FilmMinutes;
    readonly lit: (tMs: number) => boolean;
    readonly longestMs: number;
    readonly leastDryMs: number;
  },
): number[] {
  return pulses.flatMap((pulse, n) => {
    const next = pulses[n + 1];
    const wetMs = pulse.toMs ?? pulse.fromMs;
    if (!next || !lit(wetMs) || next.fromMs - pulse.fromMs > longestMs) return [];
    const dryMs = driesAt({ wetMs, nextMs: next.fromMs }, minutesAt, next.fromMs);
    return dryMs === null || next.fromMs - dryMs < leastDryMs ? [] : [dryMs];
  });
}
