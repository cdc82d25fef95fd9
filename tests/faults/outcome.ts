/** What came of a fault that was brought about again and again. */
export type Outcome = {
  readonly tries: number;
  /** readings acknowledged and missing, and messages that were acknowledged and are nowhere */
  readonly lost: number;
  /** readings stored twice, and messages about one raising sent under two ids */
  readonly doubled: number;
  /** from the fault to the mail about air at 48 °C that began with it, ms, each try; null where none came */
  readonly wokenMs: readonly (number | null)[];
  /** from the fault, or from its end where it lasts, to being ready again, ms, each try; empty where it was ready all along */
  readonly backMs: readonly number[];
};

/** What is noted of each try. */
export type Notes = { readonly wokenMs: (number | null)[]; readonly backMs: number[] };
/** A row of the table; one without an outcome could not be brought to an end. */
export type Row = { readonly name: string; readonly outcome: Outcome | null; readonly failure?: string };
export type Form = 'short' | 'long';
/** How a scene is played: how often each fault is brought about, and the seed that decides when. */
export type How = { readonly form: Form; readonly seed: number };

/** Faults that share a stage, a row of the table each. */
export type Scene = {
  readonly names: readonly string[];
  /** the form it belongs to; both unless given */
  readonly form?: Form;
  /** it waits for most of its time, so that another scene may be played beside it */
  readonly waits?: boolean;
  readonly play: (how: How) => Promise<readonly Row[]>;
};

const seconds = (ms: number) => `${(ms / 1000).toFixed(1)} s`;

/** The middle and the worst of some times; `never` where one did not come. */
function spread(times: readonly (number | null)[]): string {
  if (times.length === 0) return '–';
  const known = times.flatMap((ms) => ms ?? []).toSorted((a, b) => a - b);
  if (known.length < times.length) return `never ${times.length - known.length} of ${times.length}`;
  const middle = known[Math.floor(known.length / 2)] ?? 0;
  return known.length === 1 ? seconds(middle) : `${seconds(middle)}, at worst ${seconds(known.at(-1) ?? 0)}`;
}

/** One row of the table, as Markdown. */
export function rowOf({ name, outcome, failure }: Row): string {
  if (outcome === null) return `| ${name} | not brought to its end: ${failure} | | | | |`;
  const { tries, lost, doubled, wokenMs, backMs } = outcome;
  return `| ${[name, tries, lost, doubled, spread(wokenMs), spread(backMs)].join(' | ')} |`;
}

export const HEADER = [
  '| fault | tries | lost | doubled | woken after | back after |',
  '|---|---|---|---|---|---|',
].join('\n');

/** Whether nothing was lost or doubled, and somebody was called each time. */
export function isGood({ outcome }: Row): boolean {
  if (outcome === null) return false;
  const { tries, lost, doubled, wokenMs } = outcome;
  return lost === 0 && doubled === 0 && wokenMs.length === tries && !wokenMs.includes(null);
}
