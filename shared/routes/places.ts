import { z } from 'zod';
import { placePatchSchema } from '../model/place.ts';
import { setUpSchema } from '../model/set-up.ts';
import { targetsSchema } from '../model/targets.ts';
import { SERIES_QUANTITIES, type SeriesQuantityName } from '../quantities.ts';
import { LIMIT_RULES } from '../rules/rules.ts';
import { pastAnswerSchema } from '../wire/alarms/past.ts';
import { trialSchema } from '../wire/alarms/trial.ts';
import { placeChangesSchema, placesChangedSchema } from '../wire/places/changes.ts';
import {
  explanationSchema,
  mistAnswerSchema,
  thermalTimeSchema,
  ventsAnswerSchema,
} from '../wire/places/details.ts';
import { bandSpanSchema, exposuresSchema } from '../wire/places/exposures.ts';
import { earlyNoticesAnswerSchema, FORECAST_QUANTITIES, forecastSchema } from '../wire/places/forecast.ts';
import { placeLightSchema } from '../wire/places/light.ts';
import { excursionsAnswerSchema, nightAnswerSchema } from '../wire/places/night.ts';
import { placeNowSchema, placeSummarySchema } from '../wire/places/place.ts';
import { seriesSchema } from '../wire/places/series.ts';
import { tracesAnswerSchema } from '../wire/places/traces.ts';
import {
  instantSchema,
  next,
  numberedSchema,
  numberSchema,
  oneOfSchema,
  optionalSpan,
  paging,
  span,
  thermalLimits,
} from './parameters.ts';
import type { Routes } from './route.ts';

/** Most points a series may be thinned to. */
const MAX_POINTS = 10_000;
const SERIES_NAMES = Object.keys(SERIES_QUANTITIES) as [SeriesQuantityName, ...SeriesQuantityName[]];

const points = numberSchema({
  min: 1,
  max: MAX_POINTS,
  whole: true,
  words: `a whole number from 1 to ${MAX_POINTS}`,
});

/** Most places whose traces are asked for at once. */
const MOST_TRACED = 50;

/** Ids of places in one text. */
const placeIdsSchema = z
  .string({ error: () => 'must be ids of places, with commas between them' })
  .transform((text) => text.split(',').filter((id) => id !== ''))
  .refine((ids) => ids.length > 0 && ids.length <= MOST_TRACED, {
    error: () => `must be 1 to ${MOST_TRACED} ids of places, with commas between them`,
  });

/** A vent as it is logged by hand. */
const ventSchema = z.strictObject({
  from: instantSchema,
  to: instantSchema.nullable().default(null),
  note: z.string().trim().max(200).nullable().default(null),
});

const placesAnswerSchema = z
  .strictObject({ places: z.array(placeSummarySchema), ...next })
  .meta({ id: 'PlacesAnswer' });

const placeAnswerSchema = placeSummarySchema
  .extend({ recordStart: z.string().nullable().describe('time of the first reading, RFC 3339') })
  .meta({ id: 'PlaceAnswer' });

/** Places and what belongs to one. */
export const PLACE_ROUTES = {
  'get /api/v1/places': {
    id: 'listPlaces',
    role: 'look',
    summary: 'All places with their state and targets',
    query: z.object(paging),
    answer: placesAnswerSchema,
  },
  'get /api/v1/places/{id}': {
    id: 'getPlace',
    role: 'look',
    summary: 'One place, and when its record starts',
    answer: placeAnswerSchema,
  },
  'post /api/v1/places/changes': {
    id: 'changePlaces',
    role: 'own',
    summary: 'Change names, zones, alarm settings or bands of several places in one commit',
    body: placeChangesSchema,
    answer: placesChangedSchema,
  },
  'patch /api/v1/places/{id}': {
    id: 'changePlace',
    role: 'own',
    summary: 'Change name, kind or settings',
    body: placePatchSchema,
    answer: placeSummarySchema,
  },
  'get /api/v1/places/{id}/now': {
    id: 'getPlaceNow',
    role: 'look',
    summary: 'Newest value, time and state of each quantity',
    answer: placeNowSchema,
  },
  'get /api/v1/places/{id}/targets': {
    id: 'getTargets',
    role: 'look',
    summary: 'The bands in force',
    answer: targetsSchema,
  },
  'put /api/v1/places/{id}/targets': {
    id: 'setTargets',
    role: 'own',
    summary: 'Set the bands, from now or from a time on',
    body: targetsSchema.safeExtend({ from: instantSchema.optional() }),
    answer: targetsSchema,
  },
  'post /api/v1/places/{id}/set-up': {
    id: 'setUpPlace',
    role: 'own',
    summary: 'Answer what the place is, whether it has a mat and what roots; bands that fit hold from now',
    body: setUpSchema,
    answer: placeSummarySchema,
  },
  'get /api/v1/places/{id}/exposures': {
    id: 'getExposures',
    role: 'look',
    summary: 'Hours and degree-hours below, within and above the bands',
    query: z.object(span),
    answer: exposuresSchema,
  },
  'get /api/v1/places/{id}/light': {
    id: 'getLight',
    role: 'look',
    summary: 'Light day by day, against what the targets of each day want',
    query: z.object(span),
    answer: placeLightSchema,
  },
  'get /api/v1/places/{id}/excursions': {
    id: 'listExcursions',
    role: 'look',
    summary: 'What was beyond its limit over a span, or missing, between exact crossings',
    query: z.object(span),
    answer: excursionsAnswerSchema,
  },
  'get /api/v1/night': {
    id: 'getNight',
    role: 'look',
    summary: 'What happened at every place since the evening, worst first; or in the night before a morning',
    query: z.object({ date: z.iso.date({ error: () => 'must be a date such as 2026-03-02' }).optional() }),
    answer: nightAnswerSchema,
  },
  'get /api/v1/traces': {
    id: 'getTraces',
    role: 'look',
    summary: 'The last 24 h of several places in one answer, at the grain of a card',
    query: z.object({ placeIds: placeIdsSchema }),
    answer: tracesAnswerSchema,
  },
  'get /api/v1/night.pdf': {
    id: 'getNightPdf',
    role: 'look',
    summary:
      'The same on paper: what happened, what to do next, and the fifteen questions of a morning answered',
    query: z.object({
      date: z.iso.date({ error: () => 'must be a date such as 2026-03-02' }).optional(),
      paper: z.enum(['a4', 'letter']).default('a4'),
    }),
    media: ['application/pdf'],
  },
  'get /api/v1/places/{id}/bands': {
    id: 'getBands',
    role: 'look',
    summary: 'The bands of a span as instants',
    query: z.object(span),
    answer: z.strictObject({ bands: z.array(bandSpanSchema) }),
  },
  'get /api/v1/places/{id}/series': {
    id: 'getSeries',
    role: 'look',
    summary: 'A quantity over time; a gap is a point without a value',
    query: z.object({ quantity: oneOfSchema(SERIES_NAMES), points: points.optional(), ...span }),
    answer: seriesSchema,
  },
  'get /api/v1/early-notices': {
    id: 'listEarlyNotices',
    role: 'look',
    summary: 'How the early notices did in the last 28 days, by place and by what was expected',
    answer: earlyNoticesAnswerSchema,
  },
  'get /api/v1/places/{id}/forecast': {
    id: 'getForecast',
    role: 'look',
    summary:
      'The next two hours, from now or from a time on; an answer about the past uses nothing read later',
    query: z.object({ quantity: oneOfSchema(FORECAST_QUANTITIES), at: instantSchema.optional() }),
    answer: forecastSchema,
  },
  'get /api/v1/places/{id}/explain': {
    id: 'explainNumber',
    role: 'look',
    summary:
      'Where a number comes from: now.<quantity>; over a span exposures.<path>, mist.<path>, vents.<path>; thermalTime.degreeHours with baseC and upperC, or baseC, optimumC and stopC too',
    query: z.object({ of: z.string().default(''), ...optionalSpan, ...thermalLimits }),
    answer: explanationSchema,
  },
  'get /api/v1/places/{id}/mist': {
    id: 'getMist',
    role: 'look',
    summary: 'Mist pulses, those missed, the longest dry gap in light',
    query: z.object(span),
    answer: mistAnswerSchema,
  },
  'get /api/v1/places/{id}/vents': {
    id: 'listVents',
    role: 'look',
    summary: 'Vents, recognised and logged, and the hours saturated since the last',
    query: z.object(span),
    answer: ventsAnswerSchema,
  },
  'post /api/v1/places/{id}/vents': {
    id: 'logVent',
    role: 'tend',
    summary: 'Log a vent by hand',
    body: ventSchema,
    answer: z.strictObject({ id: z.number() }),
    status: 201,
  },
  'delete /api/v1/places/{id}/vents/{ventId}': {
    id: 'deleteVent',
    role: 'tend',
    summary: 'Delete a logged vent',
    params: {
      ventId: numberedSchema('GET /api/v1/places/{id}/vents lists those that were logged by number.'),
    },
  },
  'get /api/v1/places/{id}/thermal-time': {
    id: 'getThermalTime',
    role: 'look',
    summary:
      'Thermal time of the root zone above a base: up to upperC, or rising to optimumC and falling to nothing at stopC',
    query: z.object({ ...span, ...thermalLimits, baseC: thermalLimits.baseC.unwrap() }),
    answer: thermalTimeSchema,
  },
  'get /api/v1/places/{id}/alarms/past': {
    id: 'tryRuleOnPast',
    role: 'look',
    summary: 'The alarms a rule would have raised over a span, and the harm before and after each',
    query: z.strictObject({ rule: oneOfSchema(LIMIT_RULES), ...span, ...trialSchema.shape }),
    answer: pastAnswerSchema,
  },
} as const satisfies Routes;
