import { type Request, Router } from 'express';
import type { ArchiveDesk, ArchiveTarget, WaitingDesk } from '../../../ports.ts';
import { pageOf, readPaging } from './paging.ts';
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
  targetRoutes(routes, { path: '/places/:id', targetOf: placeOf }, deps);
  targetRoutes(routes, { path: '/probes/:id', targetOf: probeOf }, deps);
  targetRoutes(routes, { path: '/devices/:device', targetOf: deviceOf }, deps);
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

type Target = {
  readonly path: string;
  readonly targetOf: (params: Readonly<Record<string, string>>) => ArchiveTarget;
};

function targetRoutes(routes: Router, { path, targetOf }: Target, deps: LifecycleRouteDeps): void {
  const { archive, nameOf } = deps;
  const targetIn = ({ params }: Request) => targetOf(params as Record<string, string>);
  routes.get(`${path}/contents`, (request, response) => {
    response.json(archive.contents(targetIn(request)));
  });
  routes.post(`${path}/archive`, (request, response) => {
    response.json(archive.archive(targetIn(request), { by: nameOf(request) }));
  });
  routes.delete(path, (request, response) => {
    response.json(archive.delete(targetIn(request), { by: nameOf(request) }));
  });
}

function placeOf({ id = '' }: Readonly<Record<string, string>>): ArchiveTarget {
  return { kind: 'place', placeId: id };
}

function probeOf({ id = '' }: Readonly<Record<string, string>>): ArchiveTarget {
  return { kind: 'probe', probeId: readNumber(id, 'GET /api/v1/probes lists probes by number.') };
}

function deviceOf({ device = '' }: Readonly<Record<string, string>>): ArchiveTarget {
  return { kind: 'device', device };
}

function readItem(text: string): number {
  return readNumber(text, 'GET /api/v1/archive lists what is in the archive by number.');
}
