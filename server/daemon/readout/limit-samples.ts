import { thresholdSpans } from '../../../shared/exposure/threshold.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { LimitRule } from '../../../shared/rules/rules.ts';
import { restsOn, SAMPLERS } from '../../domain/alarms/rules/registry.ts';
import { type LimitSample, reporting } from '../../domain/alarms/rules/sampler.ts';
import { bandPiece } from '../../domain/exposures/bands.ts';
import { curveOf } from '../../domain/exposures/curves.ts';
import type { Span } from '../../ports.ts';
import { momentReader } from '../world/moments.ts';
import { baseQuantity, type RecordContext, recordsOf, spansOf } from '../world/records.ts';
import { unmistedAt } from './alarms/unmisted.ts';
import { mistSeen, ventsSeen } from './details.ts';

/**
 * The samples a rule takes of the record over a span: of one instant while it is judged live, of weeks when it is tried on
 * the past.
 * @returns null where the rule is judged by its readings, or cannot be judged at the place
 */
export function samplesOf(
  rule: LimitRule,
  { place, span }: { readonly place: Place; readonly span: Span },
  context: RecordContext,
): LimitSample[] | null {
  const sampler = SAMPLERS[rule];
  if (sampler.by !== 'record') return null;
  const known = new Set(context.world.probesOf(place.id).flatMap((probe) => baseQuantity(probe) ?? []));
  if (!sampler.applies(place, known)) return [];
  const wide = { fromMs: span.fromMs - sampler.beforeMs, toMs: span.toMs };
  const records = recordsOf(place, wide, restsOn(rule), context);
  const { settings } = place;
  return sampler.samples({
    place,
    span,
    reported: reporting(Object.values(records).flat(), settings.maxGapMs),
    moment: momentReader({ place, span, records }, context),
    mist: () => mistSeen({ place, records, window: wide }, context),
    unmisted: () => unmistedAt({ place, records }, context),
    vents: () => ventsSeen(place, records, context),
    saturation: () => {
      const humidity = curveOf('relativeHumidityPct', { records, settings }).segments;
      return heldThresholds(place, wide, context).flatMap(({ pct, ...held }) =>
        thresholdSpans(humidity, pct, held),
      );
    },
    rootZone: () => ({
      segments: curveOf('rootZoneTemperatureC', { records, settings }).segments,
      bands: spansOf(place, wide, context).map((span) => bandPiece(span, 'rootZone')),
    }),
  });
}

/** From what humidity on air counted as saturated, %RH, by when. */
function heldThresholds(place: Place, span: Span, { world }: RecordContext): (Span & { pct: number })[] {
  const history = world.history(place.id);
  return history.flatMap(({ targets, fromMs: sinceMs }, i) => {
    const fromMs = i === 0 ? span.fromMs : Math.max(sinceMs, span.fromMs);
    const toMs = Math.min(history[i + 1]?.fromMs ?? span.toMs, span.toMs);
    return fromMs < toMs ? [{ fromMs, toMs, pct: targets.saturation.relativeHumidityPct }] : [];
  });
}
