import type { Exposures } from '../../shared/wire/http.ts';
import type { View } from '../common/plot.ts';
import { dayKey } from '../common/time.ts';

const QUARTER_MS = 900_000;
const LONGEST_DAY_QUARTERS = 26 * 4;

/** Degree-hours outside the band in one local day; the last day ends now. */
export type DayDose = {
  readonly view: View;
  readonly coveredHours: number;
  readonly aboveCh: number;
  readonly belowCh: number;
};
type Bar = {
  readonly x: number;
  readonly width: number;
  readonly above: number;
  readonly below: number;
};

/**
 * The moment at which the local day of a moment began, to the quarter of an hour, in which all zones change.
 * @param moment.atMs ms since epoch
 */
function dayStartMs(moment: { atMs: number; timeZone: string }): number {
  const { atMs, timeZone } = moment;
  const today = dayKey(moment);
  const quarter = Math.floor(atMs / QUARTER_MS);
  let [before, within] = [quarter - LONGEST_DAY_QUARTERS, quarter];
  while (within - before > 1) {
    const middle = Math.floor((before + within) / 2);
    if (dayKey({ atMs: middle * QUARTER_MS, timeZone }) === today) within = middle;
    else before = middle;
  }
  return within * QUARTER_MS;
}

/**
 * The last local days up to now, in order; the first begins no earlier than the record.
 * @param span.count how many at most, today with them
 * @param span.startMs first reading, ms since epoch
 */
export function localDays(span: { nowMs: number; timeZone: string; count: number; startMs: number }): View[] {
  const days: View[] = [];
  let toMs = span.nowMs;
  while (days.length < span.count && toMs > span.startMs) {
    const fromMs = dayStartMs({ atMs: toMs - 1, timeZone: span.timeZone });
    days.unshift({ fromMs, toMs });
    toMs = fromMs;
  }
  return days;
}

/** The dose of one layer in a day, out of its exposures. */
export function doseOf(view: View, exposures: Exposures, layer: 'air' | 'rootZone'): DayDose {
  const { coveredHours, degreeHoursAbove, degreeHoursBelow } = exposures[layer];
  return { view, coveredHours, aboveCh: degreeHoursAbove, belowCh: degreeHoursBelow };
}

/** The most degree-hours of any bar, and never less than 1 °C·h, so that a trifle does not fill the drawing. */
export function mostDose(doses: readonly DayDose[]): number {
  return doses.reduce((most, { aboveCh, belowCh }) => Math.max(most, aboveCh, belowCh), 1);
}

/**
 * Bars side by side, up for above and down for below, one scale for both.
 * @param drawing.sidePx height of either side of the zero line
 * @param drawing.most degree-hours that fill a side
 * @returns px; a day with something in it is at least 1.5 px high
 */
export function barsOf(
  doses: readonly DayDose[],
  drawing: { widthPx: number; sidePx: number; most: number },
): Bar[] {
  const slot = drawing.widthPx / Math.max(1, doses.length);
  const width = Math.min(28, slot * 0.62);
  const height = (dose: number) => (dose === 0 ? 0 : Math.max(1.5, (dose / drawing.most) * drawing.sidePx));
  return doses.map((dose, i) => ({
    x: i * slot + (slot - width) / 2,
    width,
    above: height(dose.aboveCh),
    below: height(dose.belowCh),
  }));
}
