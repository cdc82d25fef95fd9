const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

/** A span in the unit that fits it. */
export function ageText(ms: number): string {
  if (ms < 2 * MINUTE_MS) return `${Math.max(0, Math.round(ms / 1000))} s`;
  if (ms < 2 * HOUR_MS) return `${Math.round(ms / MINUTE_MS)} min`;
  return ms < 2 * DAY_MS ? `${Math.round(ms / HOUR_MS)} h` : `${Math.round(ms / DAY_MS)} days`;
}
