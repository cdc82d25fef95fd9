import { Fault } from '../../../shared/faults.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { Probe } from '../../../shared/model/probes/probe.ts';
import { SERIES_QUANTITIES } from '../../../shared/quantities.ts';
import type { Explanation, SeriesName } from '../../../shared/wire/http.ts';
import type { PlaceLight } from '../../../shared/wire/places/light.ts';
import { explainMist, explainThermalTime, explainVents } from '../../domain/explain/explain-details.ts';
import { explainExposure } from '../../domain/explain/explain-exposure.ts';
import { explainNow } from '../../domain/explain/explain-now.ts';
import { MAX_SPAN_MS } from '../../domain/exposures/exposures.ts';
import { lightDays } from '../../domain/exposures/light-days.ts';
import type { Queries, Span } from '../../ports.ts';
import { exposureQuestion } from '../world/records.ts';
import { exposuresOver } from '../world/settled-exposures.ts';
import type { World } from '../world/world.ts';
import { viewOf } from '../world/world-view.ts';
import { bandSpansOf } from './bands.ts';
import { tracesInParts } from './cards/traces.ts';
import { mistDetails, mistOf, thermalTimeDetails, thermalTimeOf, ventsDetails, ventsIn } from './details.ts';
import type { FindingsService } from './findings.ts';
import { inParts } from './in-parts.ts';
import { answersOf, excursionsOf } from './night/excursions.ts';
import { createPast } from './past.ts';
import { newestOf, newestReported, nowOf, type QueryContext, summary, valuesNow } from './present.ts';
import { qualityOver } from './quality.ts';
import { seriesOf } from './series.ts';
import { withSuspects } from './suspect-points.ts';

/** How many refused packs are listed at once, the newest. */
const REFUSED_LISTED = 200;
/** Excursions of one answer whose cause is looked for. */
const MOST_CAUSES = 20;

type Forecasts = {
  answer(place: Place, query: Parameters<Queries['forecast']>[1]): ReturnType<Queries['forecast']>;
  notices: Queries['earlyNotices'];
};

function lightOver(place: Place, span: Span, context: QueryContext): PlaceLight {
  const { world, timeZone: zone, clock } = context;
  const { light } = exposuresOver(place, span, { ...context, nowMs: clock.nowMs() });
  const wantedAt = (atMs: number) => world.targets(place.id, atMs).light;
  return { placeId: place.id, days: lightDays(light.days, { ...span, zone, wantedAt }) };
}

/** Answers the questions of the edges from world and store; changes nothing. */
export function createQueries(
  context: QueryContext,
  findings: FindingsService,
  forecasts: Forecasts,
): Omit<Queries, 'night' | 'nightInParts' | 'mistAdvice' | 'wouldHaveHelped' | 'heatPaid'> {
  const { world, store } = context;
  const settleContext = () => ({ ...context, nowMs: context.clock.nowMs() });
  const past = createPast(context);
  const placeOr404 = (placeId: string) => requirePlace(world, placeId);
  return {
    places: () => [...world.places.values()].map((place) => summary(place, context)),
    place: (placeId) => summary(placeOr404(placeId), context),
    inParts: () => inParts(context),
    now: (placeId) => nowOf(placeOr404(placeId), context),
    targets: (placeId) => world.targets(placeOr404(placeId).id, context.clock.nowMs()),
    exposures: (placeId, span) => exposuresOver(placeOr404(placeId), requireSpan(span), settleContext()),
    light: (placeId, span) => lightOver(placeOr404(placeId), requireSpan(span), context),
    excursions(placeId, span) {
      const place = placeOr404(placeId);
      const { excursions } = excursionsOf(place, requireSpan(span), context);
      return answersOf(place, { excursions, span, mostCauses: MOST_CAUSES }, context);
    },
    traces: (placeIds) => tracesInParts(placeIds, findings, context),
    series(placeId, query) {
      const { fromMs, toMs } = requireSpan(query);
      const place = placeOr404(placeId);
      const { points } = query;
      const suspects = { place, span: { fromMs, toMs }, points, findings: findings.held(placeId) };
      return withSuspects(seriesOf(place, query, context), suspects, context);
    },
    bands: (placeId, span) => bandSpansOf(placeOr404(placeId), requireSpan(span), context),
    forecast: (placeId, query) => forecasts.answer(placeOr404(placeId), query),
    explain: (placeId, query) => explain(placeOr404(placeId), query, context),
    earlyNotices: forecasts.notices,
    mist: (placeId, span) => mistOf(placeOr404(placeId), requireSpan(span), context),
    vents: (placeId, span) => ventsIn(placeOr404(placeId), requireSpan(span), context),
    thermalTime(placeId, query) {
      requireSpan(query);
      return thermalTimeOf(placeOr404(placeId), query, context);
    },
    recordStartMs: (placeId) =>
      store.journal.oldestMs(world.probesOf(placeOr404(placeId).id).map((p) => p.id)),
    tryOnPast: (placeId, { span, ...tried }) =>
      past(placeOr404(placeId), { ...tried, span: requireSpan(span) }),
    alarmQuality: (span) => qualityOver(requireSpan(span), context),
    alarms: () => everRaised(world).map((record) => viewOf(record, world)),
    alarmsIn(span) {
      const ids = new Set(store.alarms.idsWithEvents(requireOrder(span)));
      const stood = everRaised(world).filter((r) => ids.has(r.id) || stoodIn(r, span));
      return stood.map((record) => viewOf(record, world));
    },
    alarmEvents(alarmId) {
      requireAlarm(world, alarmId);
      return store.alarms.events(alarmId);
    },
    refused(part = null) {
      const byCode = store.refusals.countsByCode();
      const total = Object.values(byCode).reduce((sum, n) => sum + n, 0);
      const { limit, beforeId } = part ?? { limit: REFUSED_LISTED, beforeId: null };
      return { refused: store.refusals.newest(limit, beforeId ?? undefined), total, byCode };
    },
    findings: ({ placeId, span }) =>
      findings.answer({
        places: placeId === null ? [...world.places.values()] : [placeOr404(placeId)],
        span,
      }),
    probes: () => [...world.probes.values()].map((probe) => ({ ...probe, latest: latestOf(probe, world) })),
    house: context.house,
  };
}

/** @throws Fault `not-found` */
export function requirePlace(world: World, placeId: string): Place {
  const place = world.places.get(placeId);
  if (place) return place;
  throw new Fault({
    code: 'not-found',
    message: `There is no place "${placeId}"; GET /api/v1/places lists them.`,
  });
}

/** @throws Fault `not-found` */
export function requireAlarm(world: World, alarmId: string) {
  const record = world.alarms.get(alarmId);
  if (record) return record;
  throw new Fault({
    code: 'not-found',
    message: `There is no alarm "${alarmId}"; GET /api/v1/alarms lists them.`,
  });
}

function latestOf(probe: Probe, world: World) {
  const latest = world.latest.get(probe.id);
  return latest ? { probeId: probe.id, tMs: latest.tMs, value: latest.value } : null;
}

/** Alarms that have a history; the others are only watched for. */
function everRaised(world: World) {
  return [...world.alarms.values()].filter((record) => record.raisedAtMs !== null);
}

function stoodIn(record: { raisedAtMs: number | null; returnedAtMs: number | null }, span: Span): boolean {
  if (record.raisedAtMs === null || record.raisedAtMs >= span.toMs) return false;
  return record.returnedAtMs === null || record.returnedAtMs >= span.fromMs;
}

/** Alarms are few: their span may be as long as it likes, and begin where time began when `from` is left out. */
function requireOrder(span: Span): Span {
  if (span.fromMs < span.toMs) return span;
  const message = 'The span must have `from` before `to`.';
  throw new Fault({ code: 'bad-request', message, details: { fromMs: span.fromMs, toMs: span.toMs } });
}

/** @throws Fault `bad-request` */
function requireSpan(span: Span): Span {
  if (span.fromMs < span.toMs && span.toMs - span.fromMs <= MAX_SPAN_MS) return span;
  const message = 'The span must have `from` before `to` and be no longer than two years (732 days).';
  throw new Fault({ code: 'bad-request', message, details: { fromMs: span.fromMs, toMs: span.toMs } });
}

type ExplainQuestion = Parameters<Queries['explain']>[1];

function explain(place: Place, asked: ExplainQuestion, context: QueryContext): Explanation {
  const { sourceText } = context;
  const { of, span } = asked;
  const [kind = '', ...path] = of.split('.');
  const counted = span && explainCounted(place, { ...asked, kind, span: requireSpan(span) }, context);
  if (counted) return counted;
  const quantity = path.join('.');
  if (kind !== 'now' || !Object.hasOwn(SERIES_QUANTITIES, quantity)) {
    const message = `"of" is "${of}"; expected now.<quantity>, or with from and to exposures.<path>, mist.<path>, vents.<path>, or thermalTime.degreeHours with baseC and upperC, or baseC, optimumC and stopC too.`;
    throw new Fault({ code: 'bad-request', message, details: { field: 'of' } });
  }
  return explainNow({
    quantity: quantity as SeriesName,
    quantities: valuesNow(place, context).quantities,
    readings: newestReported(place, context),
    settings: place.settings,
    sourceText,
  });
}

/** Of what is counted over a span; null for anything else. */
function explainCounted(
  place: Place,
  { of, kind, span, limits }: ExplainQuestion & { kind: string; span: Span },
  context: QueryContext,
): Explanation | null {
  const { sourceText } = context;
  const asked = { of, span, settings: place.settings, sourceText };
  if (kind === 'exposures') {
    const question = exposureQuestion(place, span, context);
    const exposures = exposuresOver(place, question, { ...context, nowMs: context.clock.nowMs() });
    return explainExposure({ path: of.slice(kind.length + 1), exposures, question, sourceText });
  }
  if (kind === 'mist') {
    return explainMist({
      ...asked,
      ...mistDetails(place, span, context),
      readings: newestOf(place, context),
    });
  }
  if (kind === 'vents') return explainVents({ ...asked, ...ventsDetails(place, span, context) });
  if (kind !== 'thermalTime' || !limits) return null;
  return explainThermalTime({ ...asked, ...thermalTimeDetails(place, { ...span, ...limits }, context) });
}
