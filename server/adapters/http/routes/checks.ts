import { type Request, Router } from 'express';
import { beginStepSchema, checkDueSchema, newCheckSchema } from '../../../../shared/model/check.ts';
import { newCorrectionSchema } from '../../../../shared/model/correction.ts';
import type { CheckDesk } from '../../../ports.ts';
import { readBody, readNumber } from './read.ts';

export type CheckRouteDeps = {
  readonly checks: CheckDesk;
  readonly nameOf: (request: Request) => string | null;
};

/** Checks of probes against ice, salt and each other; corrections; and when the next check is due. */
export function checkRoutes({ checks, nameOf }: CheckRouteDeps): Router {
  const routes = Router();
  routes.get('/checks', (_request, response) => void response.json(checks.answer()));
  routes.post('/checks', (request, response) => {
    const order = readBody(newCheckSchema, request.body);
    response.status(201).json(checks.start({ ...order, by: nameOf(request) }));
  });
  routes.get('/checks/:id', ({ params }, response) => void response.json(checks.check(readId(params.id))));
  routes.delete('/checks/:id', ({ params }, response) => {
    checks.abandon(readId(params.id));
    response.status(204).end();
  });
  routes.post('/checks/:id/begin', ({ params, body }, response) => {
    const { since, until } = readBody(beginStepSchema, body);
    const span = { sinceMs: momentMs(since), untilMs: momentMs(until) };
    response.json(checks.begin(readId(params.id), span));
  });
  routes.post('/checks/:id/take', ({ params }, response) => {
    response.json(checks.take(readId(params.id)));
  });
  routes.post('/probes/:id/corrections', (request, response) => {
    const { from, checkId = null, ...order } = readBody(newCorrectionSchema, request.body);
    const entered = { ...order, checkId, fromMs: momentMs(from), by: nameOf(request) };
    response.status(201).json(checks.correct(readId(request.params.id), entered));
  });
  routes.post('/corrections/:id/withdraw', (request, response) => {
    const order = { withdrawn: true, by: nameOf(request) };
    response.json(checks.setWithdrawn(readId(request.params.id), order));
  });
  routes.post('/corrections/:id/restore', (request, response) => {
    const order = { withdrawn: false, by: nameOf(request) };
    response.json(checks.setWithdrawn(readId(request.params.id), order));
  });
  routes.put('/probes/:id/check-due', ({ params, body }, response) => {
    const { due } = readBody(checkDueSchema, body);
    checks.setDue(readId(params.id), due === null ? null : Date.parse(due));
    response.status(204).end();
  });
  return routes;
}

function momentMs(text: string | undefined): number | null {
  return text === undefined ? null : Date.parse(text);
}

const readId = (text: string) =>
  readNumber(text, 'GET /api/v1/checks lists checks, corrections and probes by number.');
