import { type Request, Router } from 'express';
import type { ArchiveDesk, ArchiveTarget, WaitingDesk } from '../../../ports.ts';
import { type DeviceNotesDeps, deviceNotes } from '../device-notes.ts';
import { pageOf, readPaging } from '../paging.ts';
import { readNumber } from './read.ts';

export type LifecycleRouteDeps = DeviceNotesDeps & {
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

function waitingRoutes(routes: Router, { waiting, nameOf, ...notes }: LifecycleRouteDeps): void {
  const keep = deviceNotes(notes);
  routes.get('/waiting', (_request, response) => void response.json(waiting.answer()));
  routes.post('/waiting/:device/accept', (request, response) => {
    const { device } = request.params;
    const accepted = waiting.accept(device, { by: nameOf(request) });
    keep(request, { kind: 'device-accepted', device });
    response.json(accepted);
  });
  routes.post('/waiting/:device/ignore', (request, response) => {
    const { device } = request.params;
    waiting.ignore(device, { by: nameOf(request) });
    keep(request, { kind: 'device-ignored', device });
    response.status(204).end();
  });
  routes.post('/waiting/:device/restore', (request, response) => {
    const { device } = request.params;
    waiting.unignore(device);
    keep(request, { kind: 'device-unignored', device });
    response.status(204).end();
  });
}

function archiveRoutes(routes: Router, { archive, nameOf, ...notes }: LifecycleRouteDeps): void {
  const keep = deviceNotes(notes);
  /** Name of the device that is archived as the item; null for a place or a probe. */
  const deviceIn = (id: number) =>
    archive.answer().items.find((item) => item.id === id && item.kind === 'device')?.name ?? null;
  routes.get('/archive', ({ query }, response) => {
    const { items } = archive.answer();
    const page = pageOf(items, readPaging(query), { keyOf: ({ id }) => id, newestFirst: true });
    response.json({ items: page.rows, ...page.next });
  });
  routes.post('/archive/:id/restore', (request, response) => {
    const id = readItem(request.params.id);
    const device = deviceIn(id);
    archive.restore(id);
    if (device !== null) keep(request, { kind: 'device-restored', device });
    response.status(204).end();
  });
  routes.delete('/archive/:id', (request, response) => {
    const now = request.query['now'] === 'true';
    const id = readItem(request.params.id);
    const item = archive.deleteItem(id, { now, by: nameOf(request) });
    if (item.kind === 'device') keep(request, { kind: 'device-deleted', device: item.name });
    response.json(item);
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

function intoArchiveRoutes(routes: Router, { archive, nameOf, ...notes }: LifecycleRouteDeps): void {
  const keep = deviceNotes(notes);
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
    const item = archive.archive(deviceOf(request.params), { by: nameOf(request) });
    keep(request, { kind: 'device-archived', device: item.name });
    response.json(item);
  });
  routes.delete('/devices/:device', (request, response) => {
    const item = archive.delete(deviceOf(request.params), { by: nameOf(request) });
    keep(request, { kind: 'device-deleted', device: item.name });
    response.json(item);
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
