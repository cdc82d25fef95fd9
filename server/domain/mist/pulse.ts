import type { Window } from '../../../shared/exposure/series.ts';

/** What showed a pulse. */
type PulseSource = 'valve' | 'humidity' | 'wetness';

/** One opening of the mist. `toMs` is null while the valve is open or where the end is not known: the air shows starts only. */
export type Pulse = { readonly fromMs: number; readonly toMs: number | null; readonly how: PulseSource };

/** Why recognised pulses are not to be counted on. */
export type MistDoubt =
  | 'nothing recorded'
  | 'pattern not known'
  | 'pulses not regular'
  | 'readings too far apart for the pattern'
  | 'humidity counted in too coarse steps';

/** The pulses of a record, and the time in which a pulse would have been seen: outside it, none means nothing. */
export type MistRecord = {
  readonly pulses: readonly Pulse[];
  readonly covered: readonly Window[];
  readonly reliable: boolean;
  readonly reason: MistDoubt | null;
  /** usual time between readings that were used, ms; null for a valve and for no readings */
  readonly cadenceMs: number | null;
};
