import { mappingSchema } from '../../../shared/model/mapping.ts';
import { listenRequestSchema, tryRequestSchema } from '../../../shared/wire/hearing.ts';
import { act, get, id, type Json, query, schemaOf } from './openapi-parts.ts';

const mappingBody = schemaOf(mappingSchema);

/** Watching messages as they come, and how messages on other topics are read. */
export const hearingPaths: Json = {
  '/api/v1/watch': {
    get: get('Messages as they came after the one that is named, each with its verdict', [
      query('after', { type: 'integer', minimum: 0 }),
    ]),
    post: act('Note messages from now on, for two minutes after the last time this was asked', null),
  },
  '/api/v1/watch/unread': {
    get: get('Topics on which devices publish and which nothing reads, each with the nearest right one'),
  },
  '/api/v1/mappings': {
    get: get('How messages on other topics are read, and what came of each mapping since the start'),
    post: act('Read a topic from now on', mappingBody, 201),
  },
  '/api/v1/mappings/{id}': {
    parameters: [id],
    put: act('Change how a topic is read', mappingBody),
    delete: act('Read it no more; what is stored stays', null, 204),
  },
  '/api/v1/mappings/listen': {
    get: get('What was heard on the topics that are listened to, or were last'),
    post: act('Listen to other topics for two minutes', schemaOf(listenRequestSchema)),
    delete: act('Stop listening', null),
  },
  '/api/v1/mappings/try': {
    post: act('What a mapping would make of a message that was heard', schemaOf(tryRequestSchema)),
  },
};
