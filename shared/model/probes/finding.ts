/**
 * What may be wrong with a probe, and what happens to its readings. All of them stay in the record as they came.
 *
 * `leftOut` readings are no measurement at all: exposures, charts and whatever is derived go on as if they had not
 * been sent, so that a gap they leave is a gap. All other suspect readings are counted as they are and marked: whether
 * a grower trusts them is for the grower to say, and nothing is corrected in secret.
 */
export const FINDINGS = {
  'power-up': { leftOut: true, name: 'power-up value' },
  disconnected: { leftOut: true, name: 'probe not answering' },
  'beyond-range': { leftOut: true, name: 'beyond what a chip can read' },
  jump: { leftOut: false, name: 'jumps' },
  flat: { leftOut: false, name: 'flat line' },
  'humidity-stuck': { leftOut: false, name: 'humidity stuck at its top' },
  'humidity-zero': { leftOut: false, name: 'humidity at zero' },
  'sun-on-sensor': { leftOut: false, name: 'sun on the sensor' },
  disagreement: { leftOut: false, name: 'neighbours disagree' },
  drift: { leftOut: false, name: 'drift' },
  'wet-sensor': { leftOut: false, name: 'wet sensor' },
  swapped: { leftOut: false, name: 'root and air swapped' },
  'clock-adrift': { leftOut: false, name: 'clock adrift' },
} as const satisfies Record<string, { readonly leftOut: boolean; readonly name: string }>;

export type FindingKind = keyof typeof FINDINGS;

/**
 * The numbers a finding rests on, in the unit of the probe (differences of temperatures in K) unless said otherwise.
 *
 * | finding | seen | limit | other |
 * |---|---|---|---|
 * | power-up, disconnected | the value | – | nearest other reading |
 * | beyond-range | the farthest value | the limit it passes | – |
 * | jump | the largest step there and back | the step that counts | – |
 * | flat, humidity-stuck, humidity-zero | the value | hours that count | hours it lasted |
 * | sun-on-sensor | K by which light lifts it over the other | K that count | light, µmol m⁻² s⁻¹ |
 * | disagreement | largest difference of hourly medians | the difference that counts | hours |
 * | drift | change of the difference | the change that counts | days |
 * | wet-sensor | K the air warmed meanwhile | K that count | minutes since the mist |
 * | swapped | daily range of the root probe | – | daily range of the air probe |
 * | clock-adrift | seconds ahead, below 0 behind | seconds that count | – |
 */
export type FindingFacts = {
  readonly seen: number;
  readonly limit: number | null;
  readonly other: number | null;
  /** device and name of the probe it was held against */
  readonly otherProbe: string | null;
};

/** Something wrong, or likely wrong, with one probe over a span of time; times in ms since epoch. */
export type Finding = {
  readonly probeId: number;
  /** device and name */
  readonly probe: string;
  /** what the probe measures, `<position>/<quantity>` */
  readonly quantity: string;
  readonly finding: FindingKind;
  readonly sinceMs: number;
  /** null while it is active */
  readonly untilMs: number | null;
  /** true when it was there already where the check began: then it may have begun earlier */
  readonly orEarlier: boolean;
  /** readings it concerns, where it is about single ones; else 0 */
  readonly readings: number;
  /** when exactly, the newest 50 stretches; a single reading is one of no length */
  readonly spans: readonly { readonly fromMs: number; readonly toMs: number }[];
  readonly facts: FindingFacts;
};
