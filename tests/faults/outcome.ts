/** What came of a fault that was brought about again and again. */
export type Outcome = {
  readonly tries: number;
  /** readings acknowledged and missing, and messages put down and never delivered */
  readonly lost: number;
  /** readings stored twice, and messages sent under two ids */
  readonly doubled: number;
  /** from the fault to the call about air at 48 °C that began with it, ms, each try; null where nobody was called */
  readonly wokenMs: readonly (number | null)[];
  /** from the fault to being ready again, ms, each try; empty where it was ready all along */
  readonly backMs: readonly number[];
};

/** A fault to bring about; how often in the short form and in the long one. */
export type FaultCase = {
  readonly name: string;
  readonly short: number;
  readonly long: number;
  readonly run: (how: { readonly tries: number; readonly seed: number }) => Promise<Outcome>;
};

const seconds = (ms: number) => `${(ms / 1000).toFixed(1)} s`;

/** The middle and the worst of some times; `never` where one did not come. */
function spread(times: readonly (number | null)[]): string {
  if (times.length === 0) return '–';
  if (times.includes(null)) return `never ${times.filter((ms) => ms === null).length} of ${times.length}`;
  const known = times.flatMap((ms) => ms ?? []).toSorted((a, b) => a - b);
  const middle = known[Math.floor(known.length / 2)] ?? 0;
  return known.length === 1 ? seconds(middle) : `${seconds(middle)}, at worst ${seconds(known.at(-1) ?? 0)}`;
}

/** One row of the table, as Markdown. */
export function rowOf(name: string, { tries, lost, doubled, wokenMs, backMs }: Outcome): string {
  return `| ${[name, tries, lost, doubled, spread(wokenMs), spread(backMs)].join(' | ')} |`;
}

export const HEADER = [
  '| fault | tries | lost | doubled | woken after | back after |',
  '| --- | --- | --- | --- | --- | --- |',
].join('\n');

/** Whether nothing was lost or doubled, and somebody was called each time. */
export function isGood({ lost, doubled, wokenMs }: Outcome): boolean {
  return lost === 0 && doubled === 0 && !wokenMs.includes(null);
}
