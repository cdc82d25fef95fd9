import { Router } from 'express';
import { z } from 'zod';
import { Fault } from '../../../../shared/faults.ts';
import { mappingSchema } from '../../../../shared/model/mapping.ts';
import { listenRequestSchema, tryRequestSchema } from '../../../../shared/wire/hearing.ts';
import type { Hearing } from '../../../ports.ts';
import { readBody } from './read.ts';

/** /api/v1/watch and /mappings. */
export function hearingRoutes({ hearing }: { readonly hearing: Hearing }): Router {
  const routes = Router();
  routes.get('/watch', ({ query }, response) => {
    response.json(hearing.watched({ afterId: readCount(query['after']) }));
  });
  routes.post('/watch', (_request, response) => void response.json(hearing.watch()));
  routes.get('/watch/unread', (_request, response) => void response.json(hearing.unreadTopics()));
  routes.get('/mappings', (_request, response) => void response.json(hearing.mappings()));
  routes.post('/mappings', ({ body }, response) => {
    response.status(201).json(hearing.addMapping(readBody(mappingSchema, body)));
  });
  routes.get('/mappings/listen', (_request, response) => void response.json(hearing.captured()));
  routes.post('/mappings/listen', async ({ body }, response) => {
    response.json(await hearing.listen(readBody(listenRequestSchema, body).filter));
  });
  routes.delete('/mappings/listen', (_request, response) => void response.json(hearing.stopListening()));
  routes.post('/mappings/try', ({ body }, response) => {
    response.json(hearing.tryOut(readBody(tryRequestSchema, body)));
  });
  routes.put('/mappings/:id', ({ params, body }, response) => {
    response.json(hearing.updateMapping(readCount(params.id), readBody(mappingSchema, body)));
  });
  routes.delete('/mappings/:id', ({ params }, response) => {
    hearing.removeMapping(readCount(params.id));
    response.status(204).end();
  });
  return routes;
}

const countSchema = z
  .string()
  .regex(/^\d{1,15}$/)
  .transform(Number);

function readCount(given: unknown): number {
  const parsed = countSchema.safeParse(given ?? '0');
  if (parsed.success) return parsed.data;
  throw new Fault({ code: 'bad-request', message: `"${String(given).slice(0, 40)}" is no whole number.` });
}
