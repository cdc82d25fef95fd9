/** One time the cover was open. */
export type Vent = {
  readonly fromMs: number;
  /** when it was shut again; null while it is still open, or where nothing shows it */
  readonly toMs: number | null;
  readonly how: 'recognised' | 'logged';
  /** lowest humidity while it was open, %RH; null where none was read */
  readonly lowestPct: number | null;
  /** whether humidity came back within 2 h after it was shut; null where that is not known, or not yet */
  readonly humidityBack: boolean | null;
  /** when it had come back, ms since epoch */
  readonly backAtMs: number | null;
};

/** A vent somebody wrote down; `toMs` is null where only the opening was. */
export type LoggedVent = { readonly fromMs: number; readonly toMs: number | null };

/** The vents of a record, and why recognised ones are not to be counted on where that is so. */
export type VentRecord = {
  readonly vents: readonly Vent[];
  readonly reliable: boolean;
  readonly reason: 'nothing recorded' | 'readings too far apart' | null;
  /** usual time between readings, ms; null for none */
  readonly cadenceMs: number | null;
};
