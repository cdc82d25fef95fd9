import { Router } from 'express';
import { ladderSchema, newWaySchema, personPatchSchema } from '../../../../shared/model/people.ts';
import { weeklyTestSchema } from '../../../../shared/model/weekly-test.ts';
import type { PeopleDesk, WayAt } from '../../../ports.ts';
import { readBody, readNumber } from './read.ts';

type PeopleRouteDeps = { readonly people: PeopleDesk };

/** The people who are told, by which ways and in which order, and what became of messages. */
export function peopleRoutes({ people }: PeopleRouteDeps): Router {
  const routes = Router();
  routes.get('/people', (_request, response) => void response.json(people.answer()));
  routes.post('/people', ({ body }, response) => {
    response.status(201).json(people.add(readBody(personPatchSchema, body)));
  });
  routes.put('/people/:id', ({ params, body }, response) => {
    response.json(people.update(readId(params.id), readBody(personPatchSchema, body)));
  });
  routes.delete('/people/:id', ({ params }, response) => {
    people.remove(readId(params.id));
    response.status(204).end();
  });
  routes.post('/people/:id/ways', ({ params, body }, response) => {
    response.status(201).json({ way: people.addWay(readId(params.id), readBody(newWaySchema, body)) });
  });
  routes.put('/people/:id/ways/:wayId', ({ params, body }, response) => {
    response.json({ way: people.updateWay(wayAt(params), readBody(newWaySchema, body)) });
  });
  routes.delete('/people/:id/ways/:wayId', ({ params }, response) => {
    people.removeWay(wayAt(params));
    response.status(204).end();
  });
  routes.post('/people/:id/ways/:wayId/test', ({ params }, response) => {
    response.status(202).json({ tests: people.testNow(wayAt(params)) });
  });
  routes.post('/people/:id/test', ({ params }, response) => {
    response.status(202).json({ tests: people.testNow({ personId: readId(params.id), wayId: null }) });
  });
  routes.post('/tests/:id/confirm', ({ params }, response) => {
    response.json(people.confirmTest(readId(params.id)));
  });
  routes.put('/weekly-test', ({ body }, response) => {
    people.setWeeklyTest(readBody(weeklyTestSchema, body));
    response.json(people.answer());
  });
  routes.put('/ladder', ({ body }, response) => {
    people.setLadder(readBody(ladderSchema, body));
    response.json(people.answer());
  });
  routes.get('/alarms/:id/messages', ({ params }, response) => {
    response.json({ messages: people.messages(params.id) });
  });
  routes.get('/house/webhook-secret', (_request, response) => {
    response.set('cache-control', 'no-store').json({ secret: people.webhookSecret() });
  });
  return routes;
}

const readId = (text: string) =>
  readNumber(text, 'GET /api/v1/people lists people and their ways by number.');

function wayAt({ id, wayId }: { id: string; wayId: string }): WayAt {
  return { personId: readId(id), wayId: readId(wayId) };
}
