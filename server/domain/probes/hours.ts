import { DEFAULT_MAX_GAP_MS } from '../../../shared/exposure/coverage.ts';
import { MS_PER_HOUR, type ProbeRecord, type Window } from '../../../shared/exposure/series.ts';
import type { SummedHour } from '../chart/from-hours.ts';
import { summaryOf } from '../seal/summary.ts';
import { isTemperature, mayHoldLeftOut, withoutLeftOut } from './left-out.ts';

/**
 * Summaries of hours without readings that are no measurement: hours whose extremes show none are taken as they are,
 * the others are summed again from their readings, and dropped when none is left.
 * @param hours summaries of one probe, ascending
 * @param probe.quantity `<position>/<quantity>`
 * @param probe.read the probe's readings over a window, both ends included; ms since epoch
 * @returns summaries, ascending
 * @example measuredHours([], { quantity: 'air/temperature', read: () => record }) // []
 */
export function measuredHours(
  hours: readonly SummedHour[],
  probe: { readonly quantity: string | null; readonly read: (window: Window) => ProbeRecord },
): SummedHour[] {
  if (!isTemperature(probe.quantity)) return [...hours];
  return hours.flatMap((summed): SummedHour[] => {
    if (!mayHoldLeftOut(summed)) return [summed];
    const { hour } = summed;
    const [fromMs, toMs] = [hour * MS_PER_HOUR, (hour + 1) * MS_PER_HOUR];
    const wide = probe.read({ fromMs: fromMs - DEFAULT_MAX_GAP_MS, toMs: toMs + DEFAULT_MAX_GAP_MS });
    const measured = withoutLeftOut(wide, { quantity: probe.quantity, maxGapMs: DEFAULT_MAX_GAP_MS });
    const within = (_: number, i: number) => {
      const tMs = measured.timesMs[i] as number;
      return tMs >= fromMs && tMs < toMs;
    };
    const own = { timesMs: measured.timesMs.filter(within), values: measured.values.filter(within) };
    return own.values.length === 0 ? [] : [{ hour, ...summaryOf(own, { maxGapMs: DEFAULT_MAX_GAP_MS }) }];
  });
}
