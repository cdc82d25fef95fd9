import { z } from 'zod';
import {
  escalationSchema,
  newContactMethodSchema,
  personPatchSchema,
  personSchema,
} from '../model/people/people.ts';
import { weeklyTestSchema } from '../model/people/weekly-test.ts';
import {
  contactMethodAnswerSchema,
  linkViewSchema,
  peopleAnswerSchema,
  testsAnswerSchema,
  testViewSchema,
} from '../wire/people.ts';
import { numberedSchema } from './parameters.ts';
import type { Routes } from './route.ts';

const numbered = numberedSchema('GET /api/v1/people lists people and their ways by number.');
const person = { id: numbered };
const method = { id: numbered, wayId: numbered };

/** The people who are notified, by which contact methods and in which order. */
export const PEOPLE_ROUTES = {
  'get /api/v1/people': {
    id: 'listPeople',
    role: 'own',
    summary: 'Who is notified, by which contact methods, in which order, and which of them fail',
    answer: peopleAnswerSchema,
  },
  'post /api/v1/people': {
    id: 'addPerson',
    role: 'own',
    summary: 'Add a person; the last to be called',
    body: personPatchSchema,
    answer: personSchema,
    status: 201,
  },
  'put /api/v1/people/{id}': {
    id: 'changePerson',
    role: 'own',
    summary: 'Change name and quiet hours',
    params: person,
    body: personPatchSchema,
    answer: personSchema,
  },
  'delete /api/v1/people/{id}': {
    id: 'deletePerson',
    role: 'own',
    summary: 'Delete a person with all contact methods',
    params: person,
  },
  'post /api/v1/people/{id}/ways': {
    id: 'addWay',
    role: 'own',
    summary: 'Add a contact method of a person',
    params: person,
    body: newContactMethodSchema,
    answer: contactMethodAnswerSchema,
    status: 201,
  },
  'put /api/v1/people/{id}/ways/{wayId}': {
    id: 'changeWay',
    role: 'own',
    summary: 'Change a contact method',
    params: method,
    body: newContactMethodSchema,
    answer: contactMethodAnswerSchema,
  },
  'delete /api/v1/people/{id}/ways/{wayId}': {
    id: 'deleteWay',
    role: 'own',
    summary: 'Delete a contact method',
    params: method,
  },
  'post /api/v1/people/{id}/ways/{wayId}/test': {
    id: 'testWay',
    role: 'own',
    summary: 'Send a test message by one contact method',
    params: method,
    answer: testsAnswerSchema,
    status: 202,
  },
  'post /api/v1/people/{id}/test': {
    id: 'testPerson',
    role: 'own',
    summary: 'Send test messages by all contact methods of a person',
    params: person,
    answer: testsAnswerSchema,
    status: 202,
  },
  'post /api/v1/tests/{id}/confirm': {
    id: 'confirmTest',
    role: 'own',
    summary: 'Say that a test message arrived',
    params: person,
    answer: testViewSchema,
  },
  'put /api/v1/weekly-test': {
    id: 'setWeeklyTest',
    role: 'own',
    summary: 'Set when everybody’s contact methods are tested',
    body: weeklyTestSchema,
    answer: peopleAnswerSchema,
  },
  'put /api/v1/ladder': {
    id: 'setLadder',
    role: 'own',
    summary: 'Set who is called, and when',
    body: escalationSchema,
    answer: peopleAnswerSchema,
  },
  'get /api/v1/house/webhook-secret': {
    id: 'getWebhookSecret',
    role: 'own',
    confirmed: true,
    summary: 'The secret by which webhook messages are signed',
    answer: z.strictObject({ secret: z.string() }),
  },
} as const satisfies Routes;

/** Links of messages: the token of a link is the permission for what it does. */
export const LINK_ROUTES = {
  'get /answer/{token}': {
    id: 'showLink',
    role: 'anyone',
    summary: 'What a link of a message would acknowledge or confirm',
    media: ['text/html'],
    faultMedia: ['text/html'],
  },
  'post /answer/{token}': {
    id: 'followLink',
    role: 'anyone',
    summary: 'Acknowledge an alarm or confirm a test by the link; it works once',
    answer: linkViewSchema,
    media: ['text/html'],
    others: { 400: linkViewSchema, 410: linkViewSchema },
    faultMedia: ['text/html'],
  },
} as const satisfies Routes;
