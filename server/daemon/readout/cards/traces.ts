import type { Place } from '../../../../shared/model/place.ts';
import { FINDINGS } from '../../../../shared/model/probes/finding.ts';
import type { TracesAnswer } from '../../../../shared/wire/http.ts';
import { CARD_TIMES_MS, cardTrace } from '../../../domain/chart/card-trace.ts';
import { curveOf, ingredientsOf } from '../../../domain/exposures/curves.ts';
import type { Parts, Span } from '../../../ports.ts';
import { recordsOf } from '../../world/records.ts';
import { exposuresOver } from '../../world/settled-exposures.ts';
import { bandSpansOf } from '../bands.ts';
import type { FindingsService } from '../findings.ts';
import type { QueryContext } from '../present.ts';

const DAY_MS = 86_400_000;
/** A card knows the bands ahead for so long, so that it need not ask at each dusk, ms. */
const AHEAD_MS = DAY_MS / 2;
/** Half of the time that the coarser points stand for, ms. */
const REACH_MS = 7.5 * 60_000;

const LAYERS = {
  air: { quantity: 'airTemperatureC', decimals: 2 },
  vpd: { quantity: 'airVpdKpa', decimals: 3 },
  rootZone: { quantity: 'rootZoneTemperatureC', decimals: 2 },
} as const;

type PlaceTraces = TracesAnswer['places'][number];

/** The last day of some places as their cards draw it, a place a part; those that are not there are left out. */
export function* tracesInParts(
  placeIds: readonly string[],
  findings: Pick<FindingsService, 'held'>,
  context: QueryContext,
): Parts<TracesAnswer> {
  const toMs = context.clock.nowMs();
  const span = { fromMs: toMs - DAY_MS, toMs };
  const places: PlaceTraces[] = [];
  for (const placeId of new Set(placeIds)) {
    const place = context.world.places.get(placeId);
    if (!place) continue;
    places.push(tracesOf(place, { span, findings }, context));
    yield;
  }
  return {
    from: new Date(span.fromMs).toISOString(),
    to: new Date(toMs).toISOString(),
    times: [...CARD_TIMES_MS],
    places,
  };
}

type DayFacts = { readonly span: Span; readonly findings: Pick<FindingsService, 'held'> };

function tracesOf(place: Place, { span, findings }: DayFacts, context: QueryContext): PlaceTraces {
  const { settings } = place;
  const records = recordsOf(place, span, ['air/temperature', 'air/humidity', 'root/temperature'], context);
  const found = findings.held(place.id).filter(({ finding }) => !FINDINGS[finding].leftOut);
  const trace = ({ quantity, decimals }: (typeof LAYERS)[keyof typeof LAYERS]) => {
    const names: readonly string[] = ingredientsOf(quantity);
    const suspects = found.filter((one) => names.includes(one.quantity)).flatMap(({ spans }) => spans);
    const isSuspect = (atMs: number) =>
      suspects.some(({ fromMs, toMs }) => fromMs <= atMs + REACH_MS && toMs >= atMs - REACH_MS);
    const curve = curveOf(quantity, { records, settings });
    return cardTrace(curve, { fromMs: span.fromMs, decimals, isSuspect });
  };
  const { placeId, from, to, rootZone, saturation } = exposuresOver(place, span, {
    ...context,
    nowMs: span.toMs,
  });
  return {
    placeId,
    air: trace(LAYERS.air),
    vpd: trace(LAYERS.vpd),
    rootZone: trace(LAYERS.rootZone),
    bands: bandSpansOf(place, { ...span, toMs: span.toMs + AHEAD_MS }, context),
    exposures: { placeId, from, to, rootZone, saturation },
  };
}
