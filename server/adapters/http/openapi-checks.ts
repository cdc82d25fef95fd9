import { beginStepSchema, checkDueSchema, newCheckSchema } from '../../../shared/model/check.ts';
import { newCorrectionSchema } from '../../../shared/model/correction.ts';
import { act, get, id, type Json, schemaOf } from './openapi-parts.ts';

/** Checks of probes, corrections, and when checks are due. */
export const checkPaths: Json = {
  '/api/v1/checks': {
    get: get('Corrections and due dates of all probes, checks under way, and the newest that are done'),
    post: act(
      'Begin a check of a probe against ice, salt solutions or a probe beside it',
      schemaOf(newCheckSchema),
      201,
    ),
  },
  '/api/v1/checks/{id}': {
    parameters: [id],
    get: get('A check, and how far its step has come to rest'),
    delete: act('Give up a check that is under way', null, 204),
  },
  '/api/v1/checks/{id}/begin': {
    parameters: [id],
    post: act('The probe is in the bath, jar or place of the next step', schemaOf(beginStepSchema)),
  },
  '/api/v1/checks/{id}/take': {
    parameters: [id],
    post: act('Take what is read, once it has come to rest; the last step ends the check', null),
  },
  '/api/v1/probes/{id}/corrections': {
    parameters: [id],
    post: act(
      'Correct what a probe tells from a time on: gain × value + offset',
      schemaOf(newCorrectionSchema),
      201,
    ),
  },
  '/api/v1/corrections/{id}/withdraw': {
    parameters: [id],
    post: act('Withdraw a correction as if it had never been entered; it stays in the history', null),
  },
  '/api/v1/corrections/{id}/restore': {
    parameters: [id],
    post: act('Put a correction that was withdrawn back in force', null),
  },
  '/api/v1/probes/{id}/check-due': {
    parameters: [id],
    put: act(
      'Set when the next check of a probe is due, or with null that none is',
      schemaOf(checkDueSchema),
      204,
    ),
  },
};
