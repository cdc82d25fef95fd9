import type { Probe } from '../../../shared/model/probe.ts';
import { PROBE_QUANTITIES } from '../../../shared/quantities.ts';
import { wellKnown } from '../ingest/quantity.ts';

/** The readings of one probe over a slice of time, ascending, ms since epoch and the probe's unit. */
export type Track = {
  readonly probe: Probe;
  readonly timesMs: ArrayLike<number>;
  readonly values: ArrayLike<number>;
};

/** What was read at one time, in the order of the tracks; null where that probe read nothing then. */
export type Moment = { readonly tMs: number; readonly values: readonly (number | null)[] };

/** The times of several probes merged: each time once, ascending, with what each probe read then. */
export function* momentsOf(tracks: readonly Track[]): Generator<Moment> {
  const at = tracks.map(() => 0);
  for (;;) {
    const tMs = Math.min(...tracks.map((track, i) => track.timesMs[at[i] ?? 0] ?? Number.POSITIVE_INFINITY));
    if (tMs === Number.POSITIVE_INFINITY) return;
    const values = tracks.map((track, i) => {
      const next = at[i] ?? 0;
      if (track.timesMs[next] !== tMs) return null;
      at[i] = next + 1;
      return track.values[next] ?? null;
    });
    yield { tMs, values };
  }
}

/** The unit of a probe as a person reads it; '/' for a ratio, '' for a number without unit. */
export function shownUnit({ name, unit }: Probe): string {
  const known = wellKnown(name);
  return known ? PROBE_QUANTITIES[known.quantity].unit || '/' : unit;
}

/** The unit code of a probe in readings packs; null for a number without unit. */
export function sentUnit({ name, unit }: Probe): string | null {
  const known = wellKnown(name);
  return known ? PROBE_QUANTITIES[known.quantity].unitCode : unit || null;
}
