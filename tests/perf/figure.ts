/** One measured figure; a rate stands beside the ceiling it was measured against in the same run. */
export type Figure = {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly of?: { readonly name: string; readonly value: number };
};

/** A figure as a line of text. */
export function lineOf({ name, value, unit, of }: Figure): string {
  const line = `${name}: ${rounded(value)} ${unit}`;
  if (of === undefined) return line;
  return `${line}, ${(value / of.value).toFixed(2)} of ${of.name} (${rounded(of.value)} ${unit})`;
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
