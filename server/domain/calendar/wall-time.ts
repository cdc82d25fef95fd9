import { utcOffsetMs } from './days.ts';

const DAY_MS = 86_400_000;
/** Since 1978 every zone has changed its clocks at a full quarter of an hour, so an offset holds for a whole one. */
const OFFSET_HOLDS_MS = 15 * 60_000;
/** Most offsets remembered; a file read in order of time needs two. */
const MAX_REMEMBERED = 512;

/**
 * A zone's wall clock read backwards: from what it showed to when that was.
 * @param zone IANA time zone
 * @returns takes the wall clock's date and time as if they were UTC (ms since epoch), and gives the instants at which
 * it showed them, ascending, ms since epoch: none in an hour that a clock change skips, two in one that it repeats
 */
export function createWallClock(zone: string): (wallMs: number) => readonly number[] {
  const offsets = new Map<number, number>();
  const offsetAt = (atMs: number): number => {
    const quarter = Math.floor(atMs / OFFSET_HOLDS_MS);
    const known = offsets.get(quarter);
    if (known !== undefined) return known;
    if (offsets.size >= MAX_REMEMBERED) offsets.clear();
    const offset = utcOffsetMs({ atMs: quarter * OFFSET_HOLDS_MS, zone });
    offsets.set(quarter, offset);
    return offset;
  };
  return (wallMs) => {
    const [before, after] = [offsetAt(wallMs - DAY_MS), offsetAt(wallMs + DAY_MS)];
    if (before === after) return [wallMs - before];
    return [wallMs - before, wallMs - after]
      .filter((instantMs) => offsetAt(instantMs) === wallMs - instantMs)
      .sort((a, b) => a - b);
  };
}
