import { LX_PER_UMOL } from '../../../shared/climate/light.ts';
import { MS_PER_HOUR, probeRecord } from '../../../shared/exposure/series.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { Finding } from '../../../shared/model/probes/finding.ts';
import type { CheckedProbe } from '../../domain/probes/check-scope.ts';
import { type DailyMeans, drifts } from '../../domain/probes/faults/drift.ts';
import { findingsOf, LOOKBACK_MS } from '../../domain/probes/findings.ts';
import { isTemperature, mayHoldLeftOut } from '../../domain/probes/left-out.ts';
import type { HourSummary, Span } from '../../ports.ts';
import { baseQuantity, type RecordContext } from '../world/records.ts';

const DAY_MS = 24 * MS_PER_HOUR;
/** Days searched for a drift. */
const DRIFT_DAYS = 28;
/** Least cover of a day whose mean counts, ms. */
const LEAST_COVERED_MS = 12 * MS_PER_HOUR;

/** The well-known probes of a place. */
function assigned(place: Place, { world }: RecordContext) {
  return world.probesOf(place.id).flatMap((probe) => {
    const quantity = baseQuantity(probe);
    return quantity === null ? [] : [{ probeId: probe.id, probe: `${probe.device}/${probe.name}`, quantity }];
  });
}

/** What the readings of a place over a span say against its probes. */
export function checkProbes(place: Place, span: Span, context: RecordContext): Finding[] {
  const known = assigned(place, context);
  const window = context.store.journal.window({ probeIds: known.map(({ probeId }) => probeId), ...span });
  const probes = window.flatMap(({ probeId, ...readings }): CheckedProbe[] => {
    const probe = known.find((one) => one.probeId === probeId);
    return probe ? [{ ...probe, record: probeRecord(readings) }] : [];
  });
  const { maxGapMs, lightSource } = place.settings;
  return findingsOf({ ...span, kind: place.kind, maxGapMs, lxPerUmol: LX_PER_UMOL[lightSource], probes });
}

/** The last days of a place that were read, up to now. */
export function checkRecent(place: Place, nowMs: number, context: RecordContext): Finding[] {
  const newestMs = Math.max(
    0,
    ...assigned(place, context).map(({ probeId }) => context.store.journal.latest(probeId)?.tMs ?? 0),
  );
  if (newestMs === 0) return [];
  const toMs = Math.min(nowMs, newestMs) + 1;
  return checkProbes(place, { fromMs: toMs - LOOKBACK_MS, toMs }, context);
}

/** What four weeks of daily means, from the summaries of hours, say against the probes of a place. */
export function checkDrift(place: Place, nowMs: number, context: RecordContext): Finding[] {
  const lastDay = Math.floor(nowMs / DAY_MS);
  const firstMs = (lastDay - DRIFT_DAYS) * DAY_MS;
  const span = { fromMs: firstMs, toMs: lastDay * DAY_MS };
  const probes = assigned(place, context).map((probe): DailyMeans => {
    const hours = context.store.journal.hours(probe.probeId, span);
    const sound = isTemperature(probe.quantity) ? hours.filter((hour) => !mayHoldLeftOut(hour)) : hours;
    return { ...probe, means: dailyMeans(sound, firstMs) };
  });
  return drifts(probes, firstMs);
}

function dailyMeans(hours: readonly HourSummary[], firstMs: number): (number | null)[] {
  const days = Array.from({ length: DRIFT_DAYS }, () => ({ area: 0, coveredMs: 0 }));
  for (const { hour, area, coveredMs } of hours) {
    const day = days[Math.floor((hour * MS_PER_HOUR - firstMs) / DAY_MS)];
    if (!day) continue;
    day.area += area;
    day.coveredMs += coveredMs;
  }
  return days.map(({ area, coveredMs }) => (coveredMs >= LEAST_COVERED_MS ? area / coveredMs : null));
}
