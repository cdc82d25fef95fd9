/** One measured figure; a rate stands beside the ceiling, or the rival, it was measured against in the same run. */
export type Figure = {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly of?: { readonly name: string; readonly value: number };
  /** what the figure means where its name does not say it */
  readonly note?: string;
};

/** A figure as a line of text. */
export function lineOf({ name, value, unit, of, note }: Figure): string {
  const line = `${name}: ${rounded(value)} ${unit}`;
  const meant = note === undefined ? '' : ` (${note})`;
  if (of === undefined) return `${line}${meant}`;
  return `${line}, ${ratio(value / of.value)} of ${of.name} (${rounded(of.value)} ${unit})${meant}`;
}

function ratio(value: number): string {
  return value < 0.1 ? value.toPrecision(2) : value.toFixed(2);
}

function rounded(value: number): string {
  const decimals = value >= 100 ? 0 : value >= 10 ? 1 : 2;
  return value.toLocaleString('en', { minimumFractionDigits: decimals, maximumFractionDigits: decimals });
}

/**
 * The value below which so much of the sample lies (nearest rank).
 *
 * @param sample at least one number
 * @param part 0 < part ≤ 1; 0.5 is the median
 */
export function quantile(sample: readonly number[], part: number): number {
  const ascending = [...sample].sort((a, b) => a - b);
  const value = ascending[Math.ceil(part * ascending.length) - 1];
  if (value === undefined) throw new Error('a quantile of nothing');
  return value;
}

/** One round of two rivals. */
export type Round = { readonly ours: number; readonly theirs: number };

/**
 * The round in the middle by its ratio, of rounds in which both took turns: other work on the machine comes and goes.
 *
 * @param rounds at least one
 */
export function middleRound(rounds: readonly Round[]): Round {
  const byRatio = [...rounds].sort((a, b) => a.ours / a.theirs - b.ours / b.theirs);
  const middle = byRatio[Math.ceil(byRatio.length / 2) - 1];
  if (middle === undefined) throw new Error('the middle of no rounds');
  return middle;
}
