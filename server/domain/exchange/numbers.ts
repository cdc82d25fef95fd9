const NUMBER = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;
const MISSING = /^(?:|na|n\/a|nan|null|none|-{1,3})$/i;

/** True for a cell that says that nothing was read: empty, or one of the words sensors' files have for it. */
export function isMissing(cell: string): boolean {
  return MISSING.test(cell);
}

/**
 * The number in a cell.
 * @param decimal what stands before its decimals; nothing groups thousands
 * @returns null when it is none, or beyond any number
 */
export function readNumber(cell: string, decimal: '.' | ','): number | null {
  const text = decimal === ',' ? (cell.includes('.') ? '' : cell.replace(',', '.')) : cell;
  if (!NUMBER.test(text)) return null;
  const value = Number(text);
  // a reading of −0 is a reading of 0
  return Number.isFinite(value) ? value + 0 : null;
}
