import { z } from 'zod';
import { HELPERS, heatPaidSchema, helpedSchema, mistAdviceSchema } from '../../wire/places/advice.ts';
import { numberSchema, oneOfSchema, span } from '../parameters.ts';
import type { Routes } from '../route.ts';

const DAYS = { min: 1, max: 14, whole: true, words: 'a whole number of days from 1 to 14' };
const TRANSMISSION = { min: 0, max: 1, whole: false, words: 'a share from 0 to 1' };
const WATTS = { min: 1, max: 100_000, whole: false, words: 'a number of watts from 1 to 100000' };

/** What the record of a place advises; nothing is switched by it. */
export const ADVICE_ROUTES = {
  'get /api/v1/places/{id}/mist-advice': {
    id: 'getMistAdvice',
    role: 'look',
    summary: 'How often to mist by day and night, and what three timers would have done on the last days',
    query: z.object({ days: numberSchema(DAYS).optional() }),
    answer: mistAdviceSchema,
  },
  'get /api/v1/places/{id}/would-have-helped': {
    id: 'getWouldHaveHelped',
    role: 'look',
    summary: 'What a shade, or a vent of an hour at the peak, would have done to the day before',
    query: z.object({ what: oneOfSchema(HELPERS), transmission: numberSchema(TRANSMISSION).optional() }),
    answer: helpedSchema,
  },
  'get /api/v1/places/{id}/heat-paid': {
    id: 'getHeatPaid',
    role: 'look',
    summary: 'Energy of bottom heat by day and rooted cutting, against the degree-hours it held',
    query: z.object({ ...span, ratedW: numberSchema(WATTS).optional() }),
    answer: heatPaidSchema,
  },
} as const satisfies Routes;
