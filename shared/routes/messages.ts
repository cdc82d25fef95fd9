import { z } from 'zod';
import { mappingSchema } from '../model/probes/mapping.ts';
import {
  listenAnswerSchema,
  listenRequestSchema,
  mappingsAnswerSchema,
  mappingViewSchema,
  tryAnswerSchema,
  tryRequestSchema,
  unreadAnswerSchema,
  watchAnswerSchema,
} from '../wire/probes/foreign-messages.ts';
import { numberedSchema, numberSchema } from './parameters.ts';
import type { Routes } from './route.ts';

const params = { id: numberedSchema('GET /api/v1/mappings lists mappings by number.') };
const after = numberSchema({ min: 0, max: 999_999_999_999_999, whole: true, words: 'a whole number' });

/** Watching messages as they come, and how messages on other topics are read. */
export const MESSAGE_ROUTES = {
  'get /api/v1/watch': {
    id: 'listWatched',
    role: 'tend',
    summary: 'Messages as they came after the one that is named, each with its verdict',
    query: z.object({ after: after.optional() }),
    answer: watchAnswerSchema,
  },
  'post /api/v1/watch': {
    id: 'watchMessages',
    role: 'tend',
    summary: 'Note messages from now on, for two minutes after the last time this was asked',
    answer: watchAnswerSchema,
  },
  'get /api/v1/watch/unread': {
    id: 'listUnreadTopics',
    role: 'tend',
    summary: 'Topics on which devices publish and which nothing reads, each with the nearest right one',
    answer: unreadAnswerSchema,
  },
  'get /api/v1/mappings': {
    id: 'listMappings',
    role: 'own',
    summary: 'How messages on other topics are read, and the result of each mapping since the start',
    answer: mappingsAnswerSchema,
  },
  'post /api/v1/mappings': {
    id: 'addMapping',
    role: 'own',
    summary: 'Read a topic from now on',
    body: mappingSchema,
    answer: mappingViewSchema,
    status: 201,
  },
  'put /api/v1/mappings/{id}': {
    id: 'changeMapping',
    role: 'own',
    summary: 'Change how a topic is read',
    params,
    body: mappingSchema,
    answer: mappingViewSchema,
  },
  'delete /api/v1/mappings/{id}': {
    id: 'deleteMapping',
    role: 'own',
    summary: 'Read it no more; what is stored stays',
    params,
  },
  'get /api/v1/mappings/listen': {
    id: 'listCaptured',
    role: 'own',
    summary: 'What was received on the topics that are listened to, or were last',
    answer: listenAnswerSchema,
  },
  'post /api/v1/mappings/listen': {
    id: 'listenToTopics',
    role: 'own',
    summary: 'Listen to other topics for two minutes',
    body: listenRequestSchema,
    answer: listenAnswerSchema,
  },
  'delete /api/v1/mappings/listen': {
    id: 'stopListening',
    role: 'own',
    summary: 'Stop listening',
    answer: listenAnswerSchema,
  },
  'post /api/v1/mappings/try': {
    id: 'tryMapping',
    role: 'own',
    summary: 'What a mapping would make of a message that was received',
    body: tryRequestSchema,
    answer: tryAnswerSchema,
  },
} as const satisfies Routes;
