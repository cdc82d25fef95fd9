import { type Request, Router } from 'express';
import type { ArchiveDesk, ArchiveTarget, WaitingDesk } from '../../../ports.ts';
import { pageOf, readPaging } from '../paging.ts';
import { readNumber } from './read.ts';

export type LifecycleRouteDeps = {
  readonly waiting: WaitingDesk;
  readonly archive: ArchiveDesk;
  readonly nameOf: (request: Request) => string | null;
};

/** Devices that wait to be accepted; the archive; and archiving and deleting places, probes and devices. */
export function lifecycleRoutes(deps: LifecycleRouteDeps): Router {
  const routes = Router();
  waitingRoutes(routes, deps);
  archiveRoutes(routes, deps);
  contentRoutes(routes, deps);
  intoArchiveRoutes(routes, deps);
  return routes;
}

function waitingRoutes(routes: Router, { waiting, nameOf }: LifecycleRouteDeps): void {
  routes.get('/waiting', (_request, response) => void response.json(waiting.answer()));
  routes.post('/waiting/:device/accept', (request, response) => {
    response.json(waiting.accept(request.params.device, { by: nameOf(request) }));
  });
  routes.post('/waiting/:device/ignore', (request, response) => {
    waiting.ignore(request.params.device, { by: nameOf(request) });
    response.status(204).end();
  });
  routes.post('/waiting/:device/restore', ({ params }, response) => {
    waiting.unignore(params.device);
    response.status(204).end();
  });
}

function archiveRoutes(routes: Router, { archive, nameOf }: LifecycleRouteDeps): void {
  routes.get('/archive', ({ query }, response) => {
    const { items } = archive.answer();
    const page = pageOf(items, readPaging(query), { keyOf: ({ id }) => id, newestFirst: true });
    response.json({ items: page.rows, ...page.next });
  });
  routes.post('/archive/:id/restore', ({ params }, response) => {
    archive.restore(readItem(params.id));
    response.status(204).end();
  });
  routes.delete('/archive/:id', (request, response) => {
    const now = request.query['now'] === 'true';
    response.json(archive.deleteItem(readItem(request.params.id), { now, by: nameOf(request) }));
  });
}

function contentRoutes(routes: Router, { archive }: LifecycleRouteDeps): void {
  routes.get('/places/:id/contents', ({ params }, response) => {
    response.json(archive.contents(placeOf(params)));
  });
  routes.get('/probes/:id/contents', ({ params }, response) => {
    response.json(archive.contents(probeOf(params)));
  });
  routes.get('/devices/:device/contents', ({ params }, response) => {
    response.json(archive.contents(deviceOf(params)));
  });
}

function intoArchiveRoutes(routes: Router, { archive, nameOf }: LifecycleRouteDeps): void {
  routes.post('/places/:id/archive', (request, response) => {
    response.json(archive.archive(placeOf(request.params), { by: nameOf(request) }));
  });
  routes.delete('/places/:id', (request, response) => {
    response.json(archive.delete(placeOf(request.params), { by: nameOf(request) }));
  });
  routes.post('/probes/:id/archive', (request, response) => {
    response.json(archive.archive(probeOf(request.params), { by: nameOf(request) }));
  });
  routes.delete('/probes/:id', (request, response) => {
    response.json(archive.delete(probeOf(request.params), { by: nameOf(request) }));
  });
  routes.post('/devices/:device/archive', (request, response) => {
    response.json(archive.archive(deviceOf(request.params), { by: nameOf(request) }));
  });
  routes.delete('/devices/:device', (request, response) => {
    response.json(archive.delete(deviceOf(request.params), { by: nameOf(request) }));
  });
}

function placeOf({ id }: { readonly id: string }): ArchiveTarget {
  return { kind: 'place', placeId: id };
}

function probeOf({ id }: { readonly id: string }): ArchiveTarget {
  return { kind: 'probe', probeId: readNumber(id, 'GET /api/v1/probes lists probes by number.') };
}

function deviceOf({ device }: { readonly device: string }): ArchiveTarget {
  return { kind: 'device', device };
}

function readItem(text: string): number {
  return readNumber(text, 'GET /api/v1/archive lists what is in the archive by number.');
}
