/**
 * For how long readings are kept, in one sentence without its full stop.
 * @param keepDays whole days, null for ever
 * @param from RFC 3339, before which minutes stand in for readings, or null
 */
export function keptWords({ keepDays, from }: { keepDays: number | null; from: string | null }): string {
  const kept =
    keepDays === null
      ? 'readings are kept for ever'
      : `readings are kept for ${keepDays} days (STRIKEWELL_KEEP_RAW_DAYS)`;
  return from === null ? kept : `${kept}; before ${from} there are minutes in their place`;
}
