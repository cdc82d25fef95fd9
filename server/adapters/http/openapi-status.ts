import { clockAnswerSchema } from '../../../shared/wire/clock.ts';
import { faults, get, type Json, json, schemaOf, text } from './openapi-parts.ts';

const reasons = {
  type: 'object',
  required: ['status', 'reasons'],
  properties: {
    status: { const: 'not-ready' },
    reasons: { type: 'array', items: { enum: ['starting', 'broker-away', 'record-not-writable'] } },
  },
};

/** What machines ask of the daemon; the first two are always open. */
export const statusPaths: Json = {
  '/healthz': {
    get: {
      ...get('Started, and its turns come round'),
      responses: {
        200: { description: 'It is', ...json({ type: 'object' }) },
        503: { description: 'It is not', ...json({ type: 'object' }) },
      },
    },
  },
  '/readyz': {
    get: {
      ...get('Readings can be taken'),
      responses: {
        200: { description: 'They can', ...json({ type: 'object' }) },
        503: { description: 'Why they cannot', ...json(reasons) },
      },
    },
  },
  '/api/v1/clock': {
    get: {
      ...get('When the clock was set, and readings that were set aside for it'),
      responses: {
        200: { description: 'The clock', ...json(schemaOf(clockAnswerSchema)) },
        ...faults,
      },
    },
  },
  '/metrics': {
    get: {
      summary:
        'Measurements, as OpenMetrics 1.0.0; with a sign-in or the token once an owner password is set',
      responses: {
        200: { description: 'The measurements', content: { 'application/openmetrics-text': text } },
        '4XX': { description: 'What was wrong', ...json({ $ref: '#/components/schemas/Error' }) },
      },
    },
  },
};
