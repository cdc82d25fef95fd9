import type { Request } from 'express';
import type { ARCHIVE_ROUTES, WAITING_ROUTES } from '../../../../shared/routes/lifecycle.ts';
import type { ArchiveService, ArchiveTarget, WaitingService } from '../../../ports.ts';
import { type DeviceNotesDeps, deviceNotes } from '../device-notes.ts';
import { pageOf } from '../paging.ts';
import type { Handlers } from '../router.ts';

type LifecycleRouteDeps = DeviceNotesDeps & {
  readonly waiting: WaitingService;
  readonly archive: ArchiveService;
  readonly nameOf: (request: Request) => string | null;
};

/** Devices that wait to be accepted. */
export function waitingHandlers(deps: LifecycleRouteDeps): Handlers<typeof WAITING_ROUTES> {
  const { waiting, nameOf, ...notes } = deps;
  const keep = deviceNotes(notes);
  return {
    'get /api/v1/waiting': () => waiting.answer(),
    'post /api/v1/waiting/{device}/accept': ({ params: { device }, request }) => {
      const accepted = waiting.accept(device, { by: nameOf(request) });
      keep(request, { kind: 'device-accepted', device });
      return accepted;
    },
    'post /api/v1/waiting/{device}/ignore': ({ params: { device }, request }) => {
      waiting.ignore(device, { by: nameOf(request) });
      keep(request, { kind: 'device-ignored', device });
    },
    'post /api/v1/waiting/{device}/restore': ({ params: { device }, request }) => {
      waiting.unignore(device);
      keep(request, { kind: 'device-unignored', device });
    },
  };
}

/** The archive; and archiving and deleting places, probes and devices. */
export function archiveHandlers(deps: LifecycleRouteDeps): Handlers<typeof ARCHIVE_ROUTES> {
  const { archive } = deps;
  const contents = (target: ArchiveTarget) => archive.contents(target);
  const { toArchive, toDelete } = orders(deps);
  return {
    ...itemHandlers(deps),
    'get /api/v1/places/{id}/contents': ({ params }) => contents(placeOf(params)),
    'get /api/v1/probes/{id}/contents': ({ params }) => contents(probeOf(params)),
    'get /api/v1/devices/{device}/contents': ({ params }) => contents(deviceOf(params)),
    'post /api/v1/places/{id}/archive': ({ params, request }) => toArchive(placeOf(params), request),
    'post /api/v1/probes/{id}/archive': ({ params, request }) => toArchive(probeOf(params), request),
    'post /api/v1/devices/{device}/archive': ({ params, request }) => toArchive(deviceOf(params), request),
    'delete /api/v1/places/{id}': ({ params, request }) => toDelete(placeOf(params), request),
    'delete /api/v1/probes/{id}': ({ params, request }) => toDelete(probeOf(params), request),
    'delete /api/v1/devices/{device}': ({ params, request }) => toDelete(deviceOf(params), request),
  };
}

/** Archives and deletes; what is done to a device is kept among the events of access. */
function orders({ archive, nameOf, ...notes }: LifecycleRouteDeps) {
  const keep = deviceNotes(notes);
  return {
    toArchive: (target: ArchiveTarget, request: Request) => {
      const item = archive.archive(target, { by: nameOf(request) });
      if (target.kind === 'device') keep(request, { kind: 'device-archived', device: item.name });
      return item;
    },
    toDelete: (target: ArchiveTarget, request: Request) => {
      const item = archive.delete(target, { by: nameOf(request) });
      if (target.kind === 'device') keep(request, { kind: 'device-deleted', device: item.name });
      return item;
    },
  };
}

function itemHandlers({ archive, nameOf, ...notes }: LifecycleRouteDeps) {
  const keep = deviceNotes(notes);
  /** Name of the device that is archived as the item; null for a place or a probe. */
  const deviceIn = (id: number) =>
    archive.answer().items.find((item) => item.id === id && item.kind === 'device')?.name ?? null;
  return {
    'get /api/v1/archive': ({ query }) => {
      const { items } = archive.answer();
      const page = pageOf(items, query, { keyOf: ({ id }) => id, newestFirst: true });
      return { items: page.rows, ...page.next };
    },
    'post /api/v1/archive/{id}/restore': ({ params: { id }, request }) => {
      const device = deviceIn(id);
      archive.restore(id);
      if (device !== null) keep(request, { kind: 'device-restored', device });
    },
    'delete /api/v1/archive/{id}': ({ params, query, request }) => {
      const item = archive.deleteItem(params.id, { now: query.now === true, by: nameOf(request) });
      if (item.kind === 'device') keep(request, { kind: 'device-deleted', device: item.name });
      return item;
    },
  } satisfies Partial<Handlers<typeof ARCHIVE_ROUTES>>;
}

function placeOf({ id }: { readonly id: string }): ArchiveTarget {
  return { kind: 'place', placeId: id };
}

function probeOf({ id }: { readonly id: number }): ArchiveTarget {
  return { kind: 'probe', probeId: id };
}

function deviceOf({ device }: { readonly device: string }): ArchiveTarget {
  return { kind: 'device', device };
}
