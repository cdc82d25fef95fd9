const MOST_CHARS = 40;

/** A value out of a file as a message can show it: short, on one line, without what a terminal would obey. */
export function shown(value: unknown): string {
  if (typeof value === 'number') return String(value);
  if (typeof value !== 'string') return value === null ? 'none' : 'bytes';
  const clean = value.replaceAll(/\p{C}|[\u2028\u2029]/gu, '?');
  return `"${clean.length > MOST_CHARS ? `${clean.slice(0, MOST_CHARS)}…` : clean}"`;
}
