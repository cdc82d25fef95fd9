const MINUTE_MS = 60_000;
/**
 * More than ten annunciated alarms in ten minutes are more than one person can answer; it is over once fewer than five
 * are left of the last ten minutes: as public summaries of ISA-18.2 have it, per operator. An installation has one keeper.
 */
const FLOOD_WINDOW_MS = 10 * MINUTE_MS;
const FLOOD_BEGINS_ABOVE = 10;
const FLOOD_ENDS_BELOW = 5;
/** What was announced longer ago than this bears on no flood that anybody still looks at. */
export const FLOOD_REMEMBERED_MS = 24 * 60 * MINUTE_MS;

/** An alarm that somebody was notified of, and when; ms since epoch. */
export type Annunciated = { readonly alarmId: string; readonly atMs: number };

type Flood = {
  /** when it came to be one, ms since epoch */
  readonly sinceMs: number;
  /** what was announced in the ten minutes before it began and since, in the order it was */
  readonly announced: readonly Annunciated[];
  /** of it in the last ten minutes */
  readonly lately: readonly Annunciated[];
};

/**
 * Whether alarms come faster than one person can answer them: of what was announced and nothing else, so that a restart changes nothing.
 * @param told in any order
 * @param nowMs ms since epoch; what is later counts not yet
 * @returns null while there is no flood
 * @example floodAt(Array.from({ length: 11 }, (_, i) => ({ alarmId: 'a', atMs: i })), 11)?.sinceMs // 10
 */
export function floodAt(announced: readonly Annunciated[], nowMs: number): Flood | null {
  const all = announced.filter(({ atMs }) => atMs <= nowMs).sort((a, b) => a.atMs - b.atMs);
  let sinceMs: number | null = null;
  let from = 0;
  for (const [i, { atMs }] of all.entries()) {
    while ((all[from] as Annunciated).atMs <= atMs - FLOOD_WINDOW_MS) from += 1;
    // between alarms a window only empties: how few it held is known just before the next
    if (i - from < FLOOD_ENDS_BELOW) sinceMs = null;
    if (sinceMs === null && i - from + 1 > FLOOD_BEGINS_ABOVE) sinceMs = atMs;
  }
  const lately = all.filter(({ atMs }) => atMs > nowMs - FLOOD_WINDOW_MS);
  if (sinceMs === null || lately.length < FLOOD_ENDS_BELOW) return null;
  const beganMs = sinceMs;
  return { sinceMs, announced: all.filter(({ atMs }) => atMs > beganMs - FLOOD_WINDOW_MS), lately };
}

/** What may bear on a flood, with one alarm more; what is too old is forgotten. */
export function withAnnunciated(announced: readonly Annunciated[], one: Annunciated): Annunciated[] {
  const newestMs = announced.reduce((newest, { atMs }) => Math.max(newest, atMs), one.atMs);
  return [...announced.filter(({ atMs }) => atMs > newestMs - FLOOD_REMEMBERED_MS), one];
}
