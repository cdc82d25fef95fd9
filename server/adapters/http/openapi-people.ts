import { ladderSchema, newWaySchema, personPatchSchema } from '../../../shared/model/people.ts';
import { weeklyTestSchema } from '../../../shared/model/weekly-test.ts';
import { act, get, id, type Json, page, schemaOf } from './openapi-parts.ts';

const wayId = { name: 'wayId', in: 'path', required: true, schema: { type: 'integer' } };
/** People, their ways and the ladder; and the links of messages. */
export const peoplePaths: Json = {
  '/api/v1/people': {
    get: get('Who is told, by which ways, in which order, and which ways fail'),
    post: act('Add a person; the last on the ladder', schemaOf(personPatchSchema), 201),
  },
  '/api/v1/people/{id}': {
    parameters: [id],
    put: act('Change name and quiet hours', schemaOf(personPatchSchema)),
    delete: act('Remove a person with all ways', null, 204),
  },
  '/api/v1/people/{id}/ways': {
    parameters: [id],
    post: act('Add a way to reach a person', schemaOf(newWaySchema), 201),
  },
  '/api/v1/people/{id}/ways/{wayId}': {
    parameters: [id, wayId],
    put: act('Change a way', schemaOf(newWaySchema)),
    delete: act('Remove a way', null, 204),
  },
  '/api/v1/people/{id}/ways/{wayId}/test': {
    parameters: [id, wayId],
    post: act('Put out a test message by one way', null, 202),
  },
  '/api/v1/people/{id}/test': {
    parameters: [id],
    post: act('Put out test messages by all ways of a person', null, 202),
  },
  '/api/v1/tests/{id}/confirm': {
    parameters: [id],
    post: act('Say that a test message arrived', null),
  },
  '/api/v1/weekly-test': { put: act('Set when everybody’s ways are tested', schemaOf(weeklyTestSchema)) },
  '/api/v1/ladder': { put: act('Set who is called, and when', schemaOf(ladderSchema)) },
  '/answer/{token}': {
    parameters: [{ name: 'token', in: 'path', required: true, schema: { type: 'string' } }],
    get: page('What a link of a message would acknowledge or confirm'),
    post: page('Acknowledge an alarm or confirm a test by the link; it works once'),
  },
};
