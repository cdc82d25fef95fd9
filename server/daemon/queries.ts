import { type ProbeRecord, probeRecord } from '../../shared/exposure/series.ts';
import { chartPoints } from '../../shared/exposure/series-points.ts';
import { Fault } from '../../shared/faults.ts';
import type { Place } from '../../shared/model/place.ts';
import type { Probe } from '../../shared/model/probe.ts';
import { PROBE_QUANTITIES, type ProbeQuantityName, SERIES_QUANTITIES } from '../../shared/quantities.ts';
import type {
  BandSpan,
  Explanation,
  HouseFacts,
  PlaceNow,
  PlaceSummary,
  Series,
  SeriesName,
} from '../../shared/wire/http.ts';
import { silenceLimitMs } from '../domain/alarms/silence.ts';
import { CLOUD_MS, dayAndNight, type Sky } from '../domain/calendar/nights.ts';
import { targetSpans } from '../domain/calendar/spans.ts';
import { explainExposure } from '../domain/explain/explain-exposure.ts';
import { explainNow } from '../domain/explain/explain-now.ts';
import { curveOf, INGREDIENTS, type RecordsByQuantity } from '../domain/exposures/curves.ts';
import { bandOf, exposuresOf, fetchMarginMs, MAX_SPAN_MS } from '../domain/exposures/exposures.ts';
import type { ExposureQuestion } from '../domain/exposures/question.ts';
import { placeNow } from '../domain/present/now.ts';
import type { Clock, Queries, Span, Store } from '../ports.ts';
import { viewOf } from './annunciate.ts';
import type { World } from './world.ts';

export type QueryContext = {
  readonly world: World;
  readonly store: Store;
  readonly clock: Clock;
  readonly timeZone: string;
  readonly house: () => HouseFacts;
  /** the entry of shared/sources.md under a key */
  readonly sourceText: (key: string) => string;
};

/** How many refused packs are listed at once, the newest. */
const REFUSED_LISTED = 200;

/** Answers the questions of the edges from world and store; changes nothing. */
export function createQueries(context: QueryContext): Queries {
  const { world, store } = context;
  const placeOr404 = (placeId: string) => requirePlace(world, placeId);
  return {
    places: () => [...world.places.values()].map((place) => summary(place, context)),
    place: (placeId) => summary(placeOr404(placeId), context),
    now: (placeId) => nowOf(placeOr404(placeId), context),
    targets: (placeId) => world.targets(placeOr404(placeId).id, context.clock.nowMs()),
    exposures: (placeId, span) => exposures(placeOr404(placeId), requireSpan(span), context),
    series: (placeId, query) => series(placeOr404(placeId), query, context),
    bands: (placeId, span) => bands(placeOr404(placeId), requireSpan(span), context),
    explain: (placeId, query) => explain(placeOr404(placeId), query, context),
    recordStartMs: (placeId) =>
      store.journal.oldestMs(world.probesOf(placeOr404(placeId).id).map((p) => p.id)),
    alarms: () => everRaised(world).map((record) => viewOf(record, world)),
    alarmsIn(span) {
      const ids = new Set(store.alarms.idsWithEvents(requireSpan(span)));
      const stood = everRaised(world).filter((r) => ids.has(r.id) || stoodIn(r, span));
      return stood.map((record) => viewOf(record, world));
    },
    alarmEvents(alarmId) {
      requireAlarm(world, alarmId);
      return store.alarms.events(alarmId);
    },
    refused() {
      const byCode = store.refusals.countsByCode();
      const total = Object.values(byCode).reduce((sum, n) => sum + n, 0);
      return { refused: store.refusals.newest(REFUSED_LISTED), total, byCode };
    },
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

/** What a place is like now. */
export function nowOf(place: Place, context: QueryContext): PlaceNow {
  const { world, clock } = context;
  const nowMs = clock.nowMs();
  const targets = world.targets(place.id, nowMs);
  const assigned = world.probesOf(place.id);
  const probes = assigned.flatMap((probe) => {
    const heard = world.heard.get(probe.id);
    if (!heard) return [];
    const telling = nowMs - heard.tMs <= Math.max(silenceLimitMs(heard), place.settings.maxGapMs);
    return [{ quantity: baseQuantity(probe), tMs: heard.tMs, value: heard.value, telling }];
  });
  const atMs = judgedAtMs(place, context);
  const window = { fromMs: atMs, toMs: atMs + 1 };
  const [half] = dayAndNight({
    targets,
    ...window,
    zone: context.timeZone,
    sky: skyOf(place, window, context),
  });
  const night = half?.night ?? true;
  return placeNow({ place, probes, targets, night, probesAssigned: assigned.length });
}

/** Light is known up to its last reading only: where it decides, day or night is that of the last reading. */
function judgedAtMs(place: Place, { world, clock }: QueryContext): number {
  const nowMs = clock.nowMs();
  if (world.targets(place.id, nowMs).dayBy?.kind !== 'light') return nowMs;
  const lit = world.probesOf(place.id).filter((probe) => probe.quantity?.startsWith('light/'));
  const lastMs = Math.max(0, ...lit.map((probe) => world.heard.get(probe.id)?.tMs ?? 0));
  return nowMs - lastMs <= place.settings.maxGapMs ? lastMs - 1 : nowMs;
}

/** A place with its state and targets. */
export function summary(place: Place, context: QueryContext): PlaceSummary {
  const targets = context.world.targets(place.id, context.clock.nowMs());
  return { ...place, now: nowOf(place, context), targets };
}

function baseQuantity(probe: Probe): ProbeQuantityName | null {
  return probe.quantity !== null && probe.quantity in PROBE_QUANTITIES
    ? (probe.quantity as ProbeQuantityName)
    : null;
}

function latestOf(probe: Probe, world: World) {
  const heard = world.heard.get(probe.id);
  return heard ? { probeId: probe.id, tMs: heard.tMs, value: heard.value } : null;
}

/** Alarms that have a history; the others are only watched for. */
function everRaised(world: World) {
  return [...world.alarms.values()].filter((record) => record.raisedAtMs !== null);
}

function stoodIn(record: { raisedAtMs: number | null; returnedAtMs: number | null }, span: Span): boolean {
  if (record.raisedAtMs === null || record.raisedAtMs >= span.toMs) return false;
  return record.returnedAtMs === null || record.returnedAtMs >= span.fromMs;
}

function requireSpan(span: Span): Span {
  if (span.fromMs < span.toMs && span.toMs - span.fromMs <= MAX_SPAN_MS) return span;
  const message = 'The span must have `from` before `to` and be no longer than two years (732 days).';
  throw new Fault({ code: 'bad-request', message, details: { fromMs: span.fromMs, toMs: span.toMs } });
}

function recordsOf(place: Place, span: Span, names: readonly ProbeQuantityName[], context: QueryContext) {
  const wanted = context.world.probesOf(place.id).filter((probe) => {
    const quantity = baseQuantity(probe);
    return quantity !== null && names.includes(quantity);
  });
  const marginMs = fetchMarginMs(place.settings);
  const window = context.store.journal.window({
    probeIds: wanted.map((probe) => probe.id),
    fromMs: span.fromMs - marginMs,
    toMs: span.toMs + marginMs,
  });
  const records: Partial<Record<ProbeQuantityName, ProbeRecord[]>> = {};
  for (const { probeId, ...readings } of window) {
    const quantity = wanted.find((probe) => probe.id === probeId)?.quantity as ProbeQuantityName;
    records[quantity] = [...(records[quantity] ?? []), probeRecord(readings)];
  }
  return records satisfies RecordsByQuantity;
}

function spansOf(place: Place, span: Span, context: QueryContext) {
  const { world, timeZone } = context;
  return targetSpans({
    history: world.history(place.id),
    ...span,
    zone: timeZone,
    sky: skyOf(place, span, context),
  });
}

/** The sky as the place knows it; its light is read only where the targets go by light. */
function skyOf(place: Place, { fromMs, toMs }: Span, context: QueryContext): Sky {
  const wide = { fromMs: fromMs - CLOUD_MS, toMs: toMs + CLOUD_MS };
  return {
    at: place.settings.coordinates,
    ppfd: () => {
      const records = recordsOf(place, wide, INGREDIENTS.ppfdUmolM2S, context);
      return curveOf('ppfdUmolM2S', { records, settings: place.settings }).segments;
    },
  };
}

function exposures(place: Place, span: Span, context: QueryContext) {
  return exposuresOf(exposureQuestion(place, span, context));
}

const ALL_QUANTITIES = Object.keys(PROBE_QUANTITIES) as ProbeQuantityName[];

function exposureQuestion(place: Place, span: Span, context: QueryContext): ExposureQuestion {
  return {
    placeId: place.id,
    ...span,
    records: recordsOf(place, span, ALL_QUANTITIES, context),
    settings: place.settings,
    spans: spansOf(place, span, context),
    timeZone: context.timeZone,
  };
}

type Asked = { readonly of: string; readonly span: Span | null };

function explain(place: Place, { of, span }: Asked, context: QueryContext): Explanation {
  const { sourceText } = context;
  const [kind = '', ...path] = of.split('.');
  if (kind === 'exposures' && span) {
    const question = exposureQuestion(place, requireSpan(span), context);
    return explainExposure({ path: path.join('.'), exposures: exposuresOf(question), question, sourceText });
  }
  const quantity = path[0] ?? '';
  if (kind !== 'now' || !Object.hasOwn(SERIES_QUANTITIES, quantity)) {
    const message = `"of" is "${of}"; expected now.<quantity>, or exposures.<path> with from and to.`;
    throw new Fault({ code: 'bad-request', message, details: { field: 'of' } });
  }
  const name = quantity as SeriesName;
  const readings = context.world.probesOf(place.id).flatMap((probe) => {
    const heard = context.world.heard.get(probe.id);
    return heard ? [{ ...probe, tMs: heard.tMs, value: heard.value }] : [];
  });
  const shown = nowOf(place, context).quantities[name] ?? null;
  return explainNow({ quantity: name, shown, readings, settings: place.settings, sourceText });
}

type SeriesQuery = Span & { readonly quantity: SeriesName; readonly points: number | null };

function series(place: Place, query: SeriesQuery, context: QueryContext): Series {
  const { quantity, fromMs, toMs, points } = query;
  requireSpan({ fromMs, toMs });
  const records = recordsOf(place, { fromMs, toMs }, INGREDIENTS[quantity], context);
  const curve = curveOf(quantity, { records, settings: place.settings });
  const drawn = chartPoints(curve, { fromMs, toMs, points: points ?? undefined });
  return {
    quantity,
    unit: SERIES_QUANTITIES[quantity].unit,
    points: drawn.map(({ tMs, ...point }) => ({ t: new Date(tMs).toISOString(), ...point })),
  };
}

function bands(place: Place, span: Span, context: QueryContext): BandSpan[] {
  return spansOf(place, span, context).map((piece) => ({
    from: new Date(piece.fromMs).toISOString(),
    to: new Date(piece.toMs).toISOString(),
    night: piece.night,
    rootZone: bandOf(piece, 'rootZone'),
    air: bandOf(piece, 'air'),
    ceilingC: piece.targets.air.ceilingC,
    vpd: piece.targets.vpd,
  }));
}
