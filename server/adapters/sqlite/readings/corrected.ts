import { DEFAULT_MAX_GAP_MS } from '../../../../shared/exposure/coverage.ts';
import {
  type CorrectionRule,
  correctedMinutes,
  correctedRecord,
  correctedSummary,
  correctedValue,
} from '../../../domain/probes/corrections.ts';
import { summaryOf } from '../../../domain/seal/summary.ts';
import type { HourSummary, Journal } from '../../../ports.ts';
import { HOUR_MS } from './open-hours.ts';

/**
 * The journal as everybody but the record itself reads it: what it returns is corrected, so that nobody who
 * uses readings has to think of it. What it keeps stays as it was reported, and `window` gives that out when asked.
 */
export function correctedJournal(raw: Journal, ruleOf: (probeId: number) => CorrectionRule | null): Journal {
  return {
    ...raw,
    window({ asReported = false, ...query }) {
      const found = raw.window(query);
      if (asReported) return found;
      return found
        .map((times) => {
          const rule = ruleOf(times.probeId);
          return rule === null ? times : { probeId: times.probeId, ...correctedRecord(times, rule) };
        })
        .filter(({ timesMs }) => timesMs.length > 0);
    },
    minutes(probeId, span) {
      const minutes = raw.minutes(probeId, span);
      const rule = ruleOf(probeId);
      return rule === null ? minutes : correctedMinutes(minutes, rule);
    },
    latest(probeId, notAfterMs) {
      const reading = raw.latest(probeId, notAfterMs);
      const rule = ruleOf(probeId);
      return reading === null || rule === null
        ? reading
        : { ...reading, value: correctedValue(reading, rule) };
    },
    hours(probeId, span) {
      const hours = raw.hours(probeId, span);
      const rule = ruleOf(probeId);
      if (rule === null) return hours;
      return hours.flatMap(
        (hour) => correctedSummary(hour, rule) ?? summedAgain(hour, { probeId, rule, raw }) ?? [],
      );
    },
  };
}

type HourQuestion = { readonly probeId: number; readonly rule: CorrectionRule; readonly raw: Journal };

/** An hour that no single line maps: summed up from its readings, or from the minutes that are left of them. */
function summedAgain(hour: HourSummary, { probeId, rule, raw }: HourQuestion): HourSummary | null {
  const fromMs = hour.hour * HOUR_MS;
  const span = { fromMs, toMs: fromMs + HOUR_MS };
  const [readings] = raw.window({ probeIds: [probeId], fromMs, toMs: span.toMs - 1, orMinutes: true });
  const used = readings ? correctedRecord(readings, rule) : null;
  if (!readings || !used || used.timesMs.length === 0) return null;
  const again = summaryOf(used, { maxGapMs: DEFAULT_MAX_GAP_MS });
  const { mins, maxs } = correctedMinutes(raw.minutes(probeId, span), rule);
  const extremes = { min: Math.min(...mins), max: Math.max(...maxs) };
  if (used.timesMs.length < readings.timesMs.length) return { hour: hour.hour, ...again, ...extremes };
  const at = (tMs: number, value: number) => correctedValue({ tMs, value }, rule);
  return {
    ...hour,
    firstValue: at(hour.firstMs, hour.firstValue),
    lastValue: at(hour.lastMs, hour.lastValue),
    ...extremes,
    // minutes cover a little less than the readings they stand for
    area: again.coveredMs === 0 ? 0 : (again.area / again.coveredMs) * hour.coveredMs,
  };
}
