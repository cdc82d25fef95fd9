import type { Probe } from '../../../../shared/model/probes/probe.ts';
import { PROBE_QUANTITIES } from '../../../../shared/quantities.ts';
import { wellKnown } from '../../ingest/quantity.ts';

/** The readings of one probe over a slice of time, ascending, ms since epoch and the probe's unit. */
export type Track = {
  readonly probe: Probe;
  readonly timesMs: ArrayLike<number>;
  readonly values: ArrayLike<number>;
  /** the same as corrected, where corrections hold in the span; null for a reading that is not used */
  readonly corrected?: ArrayLike<number | null> | null;
};

/** What was read at one time, in the order of the tracks; null where that probe read nothing then, or is not corrected. */
type Moment = {
  readonly tMs: number;
  readonly values: readonly (number | null)[];
  readonly corrected: readonly (number | null)[];
};

/** The times of several probes merged: each time once, ascending, with what each probe read then. */
export function* momentsOf(tracks: readonly Track[]): Generator<Moment> {
  const at = tracks.map(() => 0);
  for (;;) {
    const tMs = Math.min(...tracks.map((track, i) => track.timesMs[at[i] ?? 0] ?? Number.POSITIVE_INFINITY));
    if (tMs === Number.POSITIVE_INFINITY) return;
    const here = tracks.map((track, i) => (track.timesMs[at[i] ?? 0] === tMs ? (at[i] ?? 0) : null));
    const column = (of: (track: Track) => ArrayLike<number | null> | null | undefined) =>
      tracks.map((track, i) => of(track)?.[here[i] ?? -1] ?? null);
    const values = column((track) => track.values);
    const corrected = column((track) => track.corrected);
    here.forEach((index, i) => {
      if (index !== null) at[i] = index + 1;
    });
    yield { tMs, values, corrected };
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
