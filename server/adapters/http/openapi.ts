import { z } from 'zod';
import { ALARM_STATES, outOfServiceRequestSchema, shelveRequestSchema } from '../../../shared/model/alarm.ts';
import { REPEATED_HOURS } from '../../../shared/model/import-mapping.ts';
import { placePatchSchema } from '../../../shared/model/place.ts';
import { targetsSchema } from '../../../shared/model/targets.ts';
import { SERIES_QUANTITIES } from '../../../shared/quantities.ts';
import { LIMIT_RULES } from '../../../shared/rules/rules.ts';
import { EXPORT_FORMS, EXPORT_STEPS, EXPORT_WHATS } from '../../../shared/wire/exchange.ts';
import { findingsAnswerSchema } from '../../../shared/wire/finding.ts';
import { accessPaths } from './openapi-access.ts';
import { checkPaths } from './openapi-checks.ts';
import { devicePaths } from './openapi-devices.ts';
import { hearingPaths } from './openapi-hearing.ts';
import { deletes, lifecyclePaths, paging } from './openapi-lifecycle.ts';
import {
  act,
  answer,
  faults,
  get,
  id,
  instant,
  type Json,
  json,
  query,
  schemaOf,
  span,
  text,
} from './openapi-parts.ts';
import { peoplePaths } from './openapi-people.ts';
import { statusPaths } from './openapi-status.ts';
import { ventRequestSchema } from './routes/details.ts';

const uploads = { 'text/csv': text, 'application/senml+json': text };
const files = { ...uploads, 'application/x-ndjson': text };

const thermalLimits = ['upperC', 'optimumC', 'stopC'].map((name) => query(name, { type: 'number' }));
const targetsBody = schemaOf(targetsSchema);
const putTargets: Json = {
  ...targetsBody,
  properties: { ...(targetsBody['properties'] as Json), from: instant },
};

/** The description of the interface, version 1, that is served with it. */
export const openapi: Json = {
  openapi: '3.1.0',
  info: { title: 'Strikewell', version: '1', summary: 'The climate in which cuttings root' },
  paths: {
    ...statusPaths,
    '/api/v1/openapi.json': { get: get('This description') },
    '/api/v1/places': { get: get('All places with their state and targets', paging) },
    '/api/v1/places/{id}': {
      parameters: [id],
      get: get('One place, and when its record starts'),
      patch: act('Change name, kind or settings', schemaOf(placePatchSchema)),
      delete: deletes.place,
    },
    '/api/v1/places/{id}/now': {
      parameters: [id],
      get: get('Newest value, time and state of each quantity'),
    },
    '/api/v1/places/{id}/targets': {
      parameters: [id],
      get: get('The bands in force'),
      put: act('Set the bands, from now or from a time on', putTargets),
    },
    '/api/v1/places/{id}/exposures': {
      parameters: [id],
      get: get('Hours and degree-hours below, within and above the bands', span),
    },
    '/api/v1/places/{id}/export': {
      parameters: [id],
      get: {
        summary:
          'Readings, exposures or alarms of a span as a file, streamed; the span holds its start, not its end',
        parameters: [
          query('what', { enum: EXPORT_WHATS, default: 'readings' }),
          query('as', { enum: EXPORT_FORMS, default: 'csv' }),
          query('by', { enum: EXPORT_STEPS, default: 'day' }),
          query('from', instant),
          query('to', instant),
        ],
        responses: { 200: { description: 'The file', content: files }, ...faults },
      },
    },
    '/api/v1/import': {
      get: get('How far the import under way is, or how the last one ended'),
      post: {
        summary: 'Import a file of readings as a device; a dry run unless dryRun=false',
        parameters: [
          query('device', { type: 'string' }, true),
          query('dryRun', { type: 'boolean', default: true }),
          query('as', { enum: ['csv', 'senml'] }),
          query('map', { type: 'string' }),
          query('zone', { type: 'string' }),
          query('repeatedHour', { enum: REPEATED_HOURS }),
        ],
        requestBody: { required: true, content: uploads },
        responses: answer('What became of the file'),
      },
    },
    '/api/v1/places/{id}/bands': { parameters: [id], get: get('The bands of a span as instants', span) },
    '/api/v1/places/{id}/mist': {
      parameters: [id],
      get: get('Mist pulses, those missed, the longest dry gap in light', span),
    },
    '/api/v1/places/{id}/vents': {
      parameters: [id],
      get: get('Vents, recognised and logged, and the hours saturated since the last', span),
      post: act('Log a vent by hand', schemaOf(ventRequestSchema), 201),
    },
    '/api/v1/places/{id}/vents/{ventId}': {
      parameters: [id, { name: 'ventId', in: 'path', required: true, schema: { type: 'integer' } }],
      delete: act('Take a logged vent back', null, 204),
    },
    '/api/v1/places/{id}/thermal-time': {
      parameters: [id],
      get: get(
        'Thermal time of the root zone above a base: up to upperC, or rising to optimumC and falling to nothing at stopC',
        [...span, query('baseC', { type: 'number' }, true), ...thermalLimits],
      ),
    },
    '/api/v1/places/{id}/alarms/past': {
      parameters: [id],
      get: get('The alarms a rule would have raised over a span, and the harm before and after each', [
        ...span,
        query('rule', { enum: [...LIMIT_RULES] }, true),
        ...['limit', 'onDelayMin', 'offDelayMin', 'deadband'].map((name) => query(name, { type: 'number' })),
      ]),
    },
    '/api/v1/places/{id}/explain': {
      parameters: [id],
      get: get(
        'Where a number comes from: now.<quantity>; over a span exposures.<path>, mist.<path>, vents.<path>; thermalTime.degreeHours with baseC and upperC, or baseC, optimumC and stopC too',
        [
          query('of', { type: 'string' }, true),
          query('from', instant),
          query('to', instant),
          query('baseC', { type: 'number' }),
          ...thermalLimits,
        ],
      ),
    },
    '/api/v1/places/{id}/series': {
      parameters: [id],
      get: get('A quantity over time; a gap is a point without a value', [
        ...span,
        query('quantity', { enum: Object.keys(SERIES_QUANTITIES) }, true),
        query('points', { type: 'integer', minimum: 1, maximum: 10_000 }),
      ]),
    },
    '/api/v1/alarms': {
      get: get('Alarms, those of a span when one is given', [
        query('state', { enum: ALARM_STATES }),
        query('from', instant),
        query('to', instant),
        ...paging,
      ]),
    },
    '/api/v1/alarms/quality': {
      get: get('How good the alarms of a span were: rate, priorities, nuisances, answers', span),
    },
    '/api/v1/alarms/{id}/events': { parameters: [id], get: get('What happened to an alarm, newest first') },
    '/api/v1/alarms/{id}/acknowledge': { parameters: [id], post: act('Acknowledge', null) },
    '/api/v1/alarms/{id}/shelve': {
      parameters: [id],
      post: act('Shelve for a time, with a reason', schemaOf(shelveRequestSchema)),
    },
    '/api/v1/alarms/{id}/unshelve': { parameters: [id], post: act('End the shelving', null) },
    '/api/v1/alarms/{id}/reset': { parameters: [id], post: act('Let go a latched alarm', null) },
    '/api/v1/alarms/{id}/out-of-service': {
      parameters: [id],
      post: act('Take out of service for maintenance, with a reason', schemaOf(outOfServiceRequestSchema)),
    },
    '/api/v1/alarms/{id}/in-service': { parameters: [id], post: act('Put back in service', null) },
    '/api/v1/refused': { get: get('Refused packs, newest first, and how many by code', paging) },
    '/api/v1/probes': { get: get('All probes with their newest reading', paging) },
    '/api/v1/probes/findings': {
      get: {
        summary:
          'What is found wrong with probes: at present, or over a span of at most 8 days; drift and clocks at present only',
        parameters: [query('place', { type: 'string' }), query('from', instant), query('to', instant)],
        responses: {
          200: { description: 'The findings', ...json(z.toJSONSchema(findingsAnswerSchema)) },
          ...faults,
        },
      },
    },
    '/api/v1/house': { get: get('Version, time zone, broker, counts') },
    '/api/v1/alarms/{id}/messages': {
      parameters: [id],
      get: get('Messages about an alarm, newest first, and what became of each'),
    },
    ...peoplePaths,
    ...devicePaths,
    ...hearingPaths,
    ...checkPaths,
    ...lifecyclePaths,
    '/api/v1/backups': {
      get: get('Backups, newest first, and the one under way'),
      post: act('Make a backup; nothing more when one is under way', null, 202),
    },
    ...accessPaths,
    '/api/v1/demo': {
      post: act('Start the invented demo places', null, 202),
      delete: act('Stop the demo and remove its places', null),
    },
  },
  components: {
    schemas: {
      Error: {
        type: 'object',
        required: ['error'],
        properties: {
          error: {
            type: 'object',
            required: ['code', 'message', 'details'],
            properties: {
              code: { type: 'string' },
              message: { type: 'string' },
              details: { type: 'object' },
            },
          },
        },
      },
    },
  },
};
