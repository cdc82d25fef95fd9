import type { ProbeRecord } from '../../../shared/exposure/series.ts';
import { airSamples } from '../mist/air-samples.ts';
import { recogniseFalls } from './recognise.ts';

/** A vent that nobody closes means dry air for this long at most, ms; then it was forgotten. Proposal of the project. */
export const VENT_MEANT_MS = 2 * 3_600_000;
/** Air under a cover that was shut again comes back within this, ms. Proposal of the project. */
const COMES_BACK_MS = 15 * 60_000;

/**
 * Since when dry air under a cover is meant, as somebody opened it: from the first reading of a fall like that of a vent,
 * though it is one for certain only ten minutes later, until the air has had time to come back after it was shut.
 * @param air readings of temperature, °C, and humidity, %RH, of the last three hours
 * @param options.nowMs ms since epoch
 * @param options.maxGapMs longest time between joined readings, ms
 * @returns ms since epoch; null where no cover is open
 * @example openedSince({ temperature: [], humidity: [] }, { nowMs: 0, maxGapMs: 900_000 }) // null
 */
export function openedSince(
  air: { readonly temperature: readonly ProbeRecord[]; readonly humidity: readonly ProbeRecord[] },
  { nowMs, maxGapMs }: { readonly nowMs: number; readonly maxGapMs: number },
): number | null {
  const falls = recogniseFalls(airSamples(air, { maxGapMs }), { leastOpenMs: 0 });
  const last = falls.at(-1);
  if (!last || nowMs - last.fromMs >= VENT_MEANT_MS) return null;
  const isOver = last.toMs !== null && nowMs - last.toMs > COMES_BACK_MS;
  return isOver ? null : last.fromMs;
}
