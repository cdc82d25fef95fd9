import { type Curve, probeRecord } from '../../../../shared/exposure/series.ts';
import { chartPoints } from '../../../../shared/exposure/series-points.ts';
import type { Place } from '../../../../shared/model/place.ts';
import {
  isMeasured,
  MEASURED_BY,
  SERIES_QUANTITIES,
  type SeriesQuantityName,
} from '../../../../shared/quantities.ts';
import { type Charted, chartedOf } from '../../../../shared/rules/charted.ts';
import { isLimitRule, LIMIT_RULE_DEFINITIONS } from '../../../../shared/rules/rules.ts';
import type { LastHour } from '../../../../shared/wire/answer.ts';
import { isMet } from '../../../domain/alarms/condition.ts';
import type { AlarmRecord } from '../../../domain/alarms/record.ts';
import { bandOf } from '../../../domain/exposures/bands.ts';
import { curveOf, ingredientsOf } from '../../../domain/exposures/curves.ts';
import { fetchMarginMs } from '../../../domain/exposures/exposures.ts';
import { withoutLeftOut } from '../../../domain/probes/left-out.ts';
import type { Span } from '../../../ports.ts';
import { type RecordContext, recordsOf, spansOf } from '../../world/records.ts';

const HOUR_MS = 3_600_000;
/** A point every half a minute: finer than any screen of a phone shows. */
const POINTS = 120;

/** What an alarm rests on over the last hour; null where nothing measured bears on it. @param nowMs ms since epoch */
export function lastHourOf(record: AlarmRecord, nowMs: number, context: RecordContext): LastHour | null {
  const charted = chartedOf(record.rule);
  const place = record.placeId === null ? undefined : context.world.places.get(record.placeId);
  if (!charted || !place) return null;
  const span = { fromMs: nowMs - HOUR_MS, toMs: nowMs };
  const curve = ofProbe(record, { place, span, charted }, context) ?? ofPlace(charted, place, span, context);
  const { name, unit, decimals } = SERIES_QUANTITIES[charted.quantity];
  const iso = (ms: number) => new Date(ms).toISOString();
  return {
    name,
    unit,
    decimals,
    from: iso(span.fromMs),
    to: iso(span.toMs),
    points: chartPoints(curve, { ...span, points: POINTS }).map(({ tMs, value }) => ({ t: iso(tMs), value })),
    limit: limitOf(record, { place, span, charted }, context),
  };
}

type Asking = { readonly place: Place; readonly span: Span; readonly charted: Charted };

/** Of the probe that raised it, as the median of its neighbours may be well within the limit. */
function ofProbe(
  { conditions }: AlarmRecord,
  { place, span, charted: { quantity: series } }: Asking,
  { world, store }: RecordContext,
): Curve | null {
  const quantity = isMeasured(series) ? MEASURED_BY[series] : null;
  const sources = Object.entries(conditions).filter(([, condition]) => isMet(condition));
  const probe = world.probesOf(place.id).find(({ id }) => sources.some(([source]) => source === String(id)));
  if (!probe || quantity === null || probe.quantity !== quantity) return null;
  const marginMs = fetchMarginMs(place.settings);
  const window = { fromMs: span.fromMs - marginMs, toMs: span.toMs + marginMs };
  const [readings] = store.journal.window({ probeIds: [probe.id], ...window });
  const read = probeRecord(readings ?? { timesMs: [], values: [] });
  const measured = withoutLeftOut(read, { quantity, maxGapMs: place.settings.maxGapMs });
  return curveOf(series, { records: { [quantity]: [measured] }, settings: place.settings });
}

function ofPlace(
  { quantity }: { quantity: SeriesQuantityName },
  place: Place,
  span: Span,
  context: RecordContext,
) {
  const records = recordsOf(place, span, ingredientsOf(quantity), context);
  return curveOf(quantity, { records, settings: place.settings });
}

function limitOf(
  { rule, facts }: AlarmRecord,
  { place, span, charted }: Asking,
  context: RecordContext,
): LastHour['limit'] {
  if (charted.limit === 'root-zone-band') {
    const now = spansOf(place, { fromMs: span.toMs - 1, toMs: span.toMs }, context).at(-1);
    return now ? { value: bandOf(now, 'rootZone', span.toMs).lowC, sense: 'below' } : null;
  }
  if (charted.limit === null || facts?.kind !== 'past-limit' || !isLimitRule(rule)) return null;
  return { value: facts.limit, sense: LIMIT_RULE_DEFINITIONS[rule].sense };
}
