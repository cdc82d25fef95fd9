import { z } from 'zod';
import { beginStepSchema, checkDueSchema, newCheckSchema } from '../model/probes/check.ts';
import { correctionSchema, newCorrectionSchema } from '../model/probes/correction.ts';
import { checksAnswerSchema, checkViewSchema } from '../wire/probes/checks.ts';
import { next, numberedSchema, paging } from './parameters.ts';
import type { Routes } from './route.ts';

const params = {
  id: numberedSchema('GET /api/v1/checks lists checks, corrections and probes by number.'),
};

/** Checks of probes, corrections, and when checks are due. */
export const CHECK_ROUTES = {
  'get /api/v1/checks': {
    id: 'listChecks',
    role: 'look',
    summary:
      'Corrections and due dates of all probes, checks under way, and those that are done: the newest, or by parts',
    query: z.object(paging),
    answer: checksAnswerSchema.extend(next).meta({ id: 'ChecksPage' }),
  },
  'post /api/v1/checks': {
    id: 'startCheck',
    role: 'tend',
    summary: 'Begin a check of a probe against ice, salt solutions or a probe beside it',
    body: newCheckSchema,
    answer: checkViewSchema,
    status: 201,
  },
  'get /api/v1/checks/{id}': {
    id: 'getCheck',
    role: 'look',
    summary: 'A check, and how far its step has come to rest',
    params,
    answer: checkViewSchema,
  },
  'delete /api/v1/checks/{id}': {
    id: 'abandonCheck',
    role: 'tend',
    summary: 'Give up a check that is under way',
    params,
  },
  'post /api/v1/checks/{id}/begin': {
    id: 'beginCheckStep',
    role: 'tend',
    summary: 'The probe is in the bath, jar or place of the next step',
    params,
    body: beginStepSchema,
    answer: checkViewSchema,
  },
  'post /api/v1/checks/{id}/take': {
    id: 'takeCheckStep',
    role: 'tend',
    summary: 'Take what is read, once it has come to rest; the last step ends the check',
    params,
    answer: checkViewSchema,
  },
  'post /api/v1/probes/{id}/corrections': {
    id: 'correctProbe',
    role: 'tend',
    summary: 'Correct what a probe reads from a time on: gain × value + offset',
    params,
    body: newCorrectionSchema,
    answer: correctionSchema,
    status: 201,
  },
  'post /api/v1/corrections/{id}/withdraw': {
    id: 'withdrawCorrection',
    role: 'tend',
    summary: 'Withdraw a correction as if it had never been entered; it stays in the history',
    params,
    answer: correctionSchema,
  },
  'post /api/v1/corrections/{id}/restore': {
    id: 'restoreCorrection',
    role: 'tend',
    summary: 'Put a correction that was withdrawn back in force',
    params,
    answer: correctionSchema,
  },
  'put /api/v1/probes/{id}/check-due': {
    id: 'setCheckDue',
    role: 'tend',
    summary: 'Set when the next check of a probe is due, or with null that none is',
    params,
    body: checkDueSchema,
  },
} as const satisfies Routes;
