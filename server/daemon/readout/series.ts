import { DEFAULT_MAX_GAP_MS } from '../../../shared/exposure/coverage.ts';
import { MS_PER_HOUR, probeRecord, type Window } from '../../../shared/exposure/series.ts';
import { type ChartPoint, chartPoints } from '../../../shared/exposure/series-points.ts';
import type { Place } from '../../../shared/model/place.ts';
import { SERIES_QUANTITIES } from '../../../shared/quantities.ts';
import type { Series, SeriesName } from '../../../shared/wire/http.ts';
import { LEAST_HOURS_A_POINT, pointsFromHours } from '../../domain/chart/from-hours.ts';
import { withMinutes } from '../../domain/chart/with-minutes.ts';
import { horizonMs } from '../../domain/disk-space/horizon.ts';
import { curveOf, ingredientsOf } from '../../domain/exposures/curves.ts';
import { measuredHours } from '../../domain/probes/hours.ts';
import type { Span } from '../../ports.ts';
import { baseQuantity, type RecordContext, recordsOf } from '../world/records.ts';

type SeriesQuery = Span & { readonly quantity: SeriesName; readonly points: number | null };

/** A quantity of a place over a span: every stored moment, or so many points. */
export function seriesOf(place: Place, query: SeriesQuery, context: RecordContext): Series {
  const { quantity } = query;
  const { readingsFromMs } = horizonMs(context.store.horizon.get());
  const drawn = fromHours(place, query, context) ?? fromReadings(place, query, context);
  return {
    quantity,
    unit: SERIES_QUANTITIES[quantity].unit,
    ...(query.fromMs < readingsFromMs ? { minutesBefore: new Date(readingsFromMs).toISOString() } : {}),
    points: drawn.map(({ tMs, ...point }) => ({ t: new Date(tMs).toISOString(), ...point })),
  };
}

function fromReadings(place: Place, query: SeriesQuery, context: RecordContext): ChartPoint[] {
  const { quantity, points, ...span } = query;
  const records = recordsOf(place, span, ingredientsOf(quantity), context);
  const curve = curveOf(quantity, { records, settings: place.settings });
  const drawn = chartPoints(curve, { ...span, points: points ?? undefined });
  const only = onlyProbe(place, quantity, context);
  const { readingsFromMs } = horizonMs(context.store.horizon.get());
  if (only === null || span.fromMs >= readingsFromMs) return drawn;
  const dropped = { fromMs: span.fromMs, toMs: Math.min(span.toMs, readingsFromMs) };
  return withMinutes(drawn, context.store.journal.minutes(only.id, dropped), { ...span, points });
}

/** The one probe that measures a quantity; null where it is computed, or several report. */
function onlyProbe(place: Place, quantity: SeriesName, { world }: RecordContext) {
  const [measured, ...more] = ingredientsOf(quantity);
  const probes = world.probesOf(place.id).filter((probe) => baseQuantity(probe) === measured);
  return more.length === 0 && probes.length === 1 ? (probes[0] ?? null) : null;
}

/** A long span of what one probe measures is drawn from its hours; null where that does not serve. */
function fromHours(place: Place, query: SeriesQuery, context: RecordContext): ChartPoint[] | null {
  const { quantity, points, fromMs, toMs } = query;
  if (points === null || toMs - fromMs < points * LEAST_HOURS_A_POINT * MS_PER_HOUR) return null;
  const only = onlyProbe(place, quantity, context);
  if (only === null) return null;
  if (place.settings.maxGapMs !== DEFAULT_MAX_GAP_MS) return null;
  const wide = { fromMs: fromMs - MS_PER_HOUR, toMs: toMs + MS_PER_HOUR };
  const read = (window: Window) => {
    const [readings] = context.store.journal.window({ probeIds: [only.id], ...window });
    return probeRecord(readings ?? { timesMs: [], values: [] });
  };
  const hours = measuredHours(context.store.journal.hours(only.id, wide), { quantity: only.quantity, read });
  return pointsFromHours(hours, { fromMs, toMs, points });
}
