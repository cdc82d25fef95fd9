import { targetSpans } from '../../../../../server/domain/calendar/spans.ts';
import type { RecordsByQuantity } from '../../../../../server/domain/exposures/curves.ts';
import type { ExposureQuestion } from '../../../../../server/domain/exposures/question.ts';
import { type ProbeRecord, probeRecord } from '../../../../../shared/exposure/series.ts';
import { DEFAULT_PLACE_SETTINGS, type PlaceSettings } from '../../../../../shared/model/place.ts';
import { BASE_MS, hours, MINUTE_MS } from '../../../shared/exposure/support.ts';
import { TARGETS } from '../../support/targets.ts';

/**
 * A probe read every 10 min over some hours after midnight of 2026-03-01 UTC.
 *
 * @param span hours after midnight
 * @param valueAt the value by the hour
 */
export function read([from, to]: readonly [number, number], valueAt: (hour: number) => number): ProbeRecord {
  const count = Math.round((to - from) * 6) + 1;
  const minutes = Array.from({ length: count }, (_, k) => from * 60 + 10 * k);
  return probeRecord({
    timesMs: minutes.map((minute) => BASE_MS + minute * MINUTE_MS),
    values: minutes.map((minute) => valueAt(minute / 60)),
  });
}

/** The question what a place was exposed to over a span of hours after midnight, UTC, against the round bands. */
export function questionOf(
  [from, to]: readonly [number, number],
  records: RecordsByQuantity,
  settings: Partial<PlaceSettings> = {},
): ExposureQuestion {
  const window = hours(from, to);
  return {
    placeId: 'bench-1',
    ...window,
    records,
    settings: { ...DEFAULT_PLACE_SETTINGS, ...settings },
    spans: targetSpans({ history: [{ fromMs: 0, targets: TARGETS }], ...window, zone: 'UTC' }),
    timeZone: 'UTC',
  };
}
