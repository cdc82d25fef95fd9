import { createHash } from 'node:crypto';
import { Fault } from '../../../../shared/faults.ts';
import type { PLACE_ROUTES } from '../../../../shared/routes/places.ts';
import { morningSheetOf } from '../../../../shared/words/morning/sheet.ts';
import type { NightPdf, Orders, Queries, Span, ThermalLimits } from '../../../ports.ts';
import { inTurns } from '../in-turns.ts';
import { pageOf } from '../paging.ts';
import type { Handlers } from '../router.ts';

type PlaceDeps = { readonly queries: Queries; readonly orders: Orders };
type NightDeps = { readonly nightPdf: NightPdf };

/** /api/v1/places and what belongs to one place. */
export function placeHandlers({
  queries,
  orders,
  nightPdf,
}: PlaceDeps & NightDeps): Handlers<typeof PLACE_ROUTES> {
  return {
    'get /api/v1/places': ({ query }) => {
      const page = pageOf(queries.places(), query, { keyOf: ({ id }) => id });
      return { places: page.rows, ...page.next };
    },
    'get /api/v1/places/{id}': ({ params: { id } }) => {
      const startMs = queries.recordStartMs(id);
      return { ...queries.place(id), recordStart: startMs === null ? null : new Date(startMs).toISOString() };
    },
    'post /api/v1/places/changes': ({ body: { changes } }) => orders.changePlaces(changes),
    'patch /api/v1/places/{id}': ({ params: { id }, body }) => {
      orders.patchPlace(id, body);
      return queries.place(id);
    },
    'get /api/v1/places/{id}/now': ({ params: { id } }) => queries.now(id),
    'get /api/v1/places/{id}/targets': ({ params: { id } }) => queries.targets(id),
    'put /api/v1/places/{id}/targets': ({ params: { id }, body: { from, ...targets } }) => {
      orders.setTargets(id, { targets, fromMs: from ?? null });
      return targets;
    },
    'post /api/v1/places/{id}/set-up': ({ params: { id }, body }) => {
      orders.setUp(id, body);
      return queries.place(id);
    },
    'get /api/v1/places/{id}/exposures': ({ params: { id }, query }) => queries.exposures(id, spanOf(query)),
    'get /api/v1/places/{id}/light': ({ params: { id }, query }) => queries.light(id, spanOf(query)),
    'get /api/v1/places/{id}/excursions': ({ params: { id }, query }) => ({
      excursions: queries.excursions(id, spanOf(query)),
    }),
    'get /api/v1/night': async ({ query, response }) => {
      const night = await inTurns(queries.nightInParts(query.date ?? null), response);
      // a night that is over stays as it was, whenever it is asked for
      if (night.date === query.date) response.setHeader('etag', tagOf({ ...night, madeAt: null }));
      return night;
    },
    'get /api/v1/traces': ({ query, response }) => inTurns(queries.traces(query.placeIds), response),
    'get /api/v1/night.pdf': async ({ query: { date, paper }, response }) => {
      const night = await inTurns(queries.nightInParts(date ?? null), response);
      const sheet = morningSheetOf(night, { timeZone: queries.house().timeZone, link: null });
      const file = await nightPdf(sheet, { paper, madeAtMs: Date.parse(night.madeAt) });
      response.setHeader('content-type', 'application/pdf');
      response.setHeader('content-disposition', `inline; filename="night-${night.date}.pdf"`);
      response.end(file);
    },
    'get /api/v1/places/{id}/bands': ({ params: { id }, query }) => ({
      bands: queries.bands(id, spanOf(query)),
    }),
    'get /api/v1/early-notices': () => ({ places: queries.earlyNotices() }),
    'get /api/v1/places/{id}/forecast': ({ params: { id }, query, response }) => {
      const { quantity, at = null } = query;
      return inTurns(queries.forecast(id, { quantity, atMs: at }), response);
    },
    'get /api/v1/places/{id}/series': ({ params: { id }, query }) =>
      queries.series(id, { ...spanOf(query), quantity: query.quantity, points: query.points ?? null }),
    'get /api/v1/places/{id}/explain': ({ params: { id }, query }) => {
      const limits = query.of.startsWith('thermalTime.') ? thermalLimitsOf(query) : null;
      return queries.explain(id, { of: query.of, span: optionalSpanOf(query), limits });
    },
    ...detailHandlers({ queries, orders }),
  };
}

/** A weak tag of what is in an answer. */
function tagOf(content: unknown): string {
  return `W/"${createHash('sha256').update(JSON.stringify(content)).digest('base64url')}"`;
}

/** Mist, vents, thermal time and rules tried on the past of one place. */
function detailHandlers({ queries, orders }: PlaceDeps) {
  return {
    'get /api/v1/places/{id}/mist': ({ params: { id }, query }) => queries.mist(id, spanOf(query)),
    'get /api/v1/places/{id}/vents': ({ params: { id }, query }) => queries.vents(id, spanOf(query)),
    'post /api/v1/places/{id}/vents': ({ params, body: { from, to, note } }) => {
      const entry = orders.logVent(params.id, { fromMs: from, toMs: to, note });
      return { id: entry.id };
    },
    'delete /api/v1/places/{id}/vents/{ventId}': ({ params }) => orders.removeVent(params.id, params.ventId),
    'get /api/v1/places/{id}/thermal-time': ({ params: { id }, query }) =>
      queries.thermalTime(id, { ...spanOf(query), ...thermalLimitsOf(query) }),
    'get /api/v1/places/{id}/alarms/past': ({ params: { id }, query }) => {
      const { rule, from, to, ...trial } = query;
      return queries.tryOnPast(id, { rule, span: spanOf({ from, to }), trial });
    },
  } satisfies Partial<Handlers<typeof PLACE_ROUTES>>;
}

/** A span of a query in ms since epoch. */
export function spanOf({ from, to }: { readonly from: number; readonly to: number }): Span {
  return { fromMs: from, toMs: to };
}

type OptionalSpan = { readonly from?: number | undefined; readonly to?: number | undefined };

/** A span that may be left out as a whole. @throws Fault `bad-request` when half of it is */
export function optionalSpanOf({ from, to }: OptionalSpan): Span | null {
  if (from === undefined && to === undefined) return null;
  if (from !== undefined && to !== undefined) return { fromMs: from, toMs: to };
  const field = from === undefined ? 'from' : 'to';
  const message = `"${field}" must be an RFC 3339 time with an offset, such as 2026-03-01T06:00:00Z; it is missing.`;
  throw new Fault({ code: 'bad-request', message, details: { field } });
}

type Limits = Readonly<Partial<Record<'baseC' | 'upperC' | 'optimumC' | 'stopC', number | undefined>>>;

/**
 * The limits of thermal time in a query, °C: `baseC` with `upperC`, or with `optimumC` and `stopC`.
 * @throws Fault `bad-request`
 */
function thermalLimitsOf(query: Limits): ThermalLimits {
  const read = (name: keyof Limits) => {
    const valueC = query[name];
    if (valueC !== undefined) return valueC;
    throw badLimit(name, `"${name}" must be a temperature from -30 to 60 °C.`);
  };
  const falls = query.optimumC !== undefined || query.stopC !== undefined;
  if (!falls) return { baseC: read('baseC'), upperC: read('upperC') };
  if (query.upperC === undefined)
    return { baseC: read('baseC'), optimumC: read('optimumC'), stopC: read('stopC') };
  throw badLimit('upperC', '"upperC" does not go with "optimumC" and "stopC": give the one or the others.');
}

function badLimit(field: string, message: string): Fault {
  return new Fault({ code: 'bad-request', message, details: { field } });
}
