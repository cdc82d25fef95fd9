import type { Request } from 'express';
import type { ARCHIVE_ROUTES, WAITING_ROUTES } from '../../../../shared/routes/lifecycle.ts';
import type { ArchiveDesk, ArchiveTarget, WaitingDesk } from '../../../ports.ts';
import { pageOf } from '../paging.ts';
import type { Handlers } from '../router.ts';

export type LifecycleRouteDeps = {
  readonly waiting: WaitingDesk;
  readonly archive: ArchiveDesk;
  readonly nameOf: (request: Request) => string | null;
};

/** Devices that wait to be accepted. */
export function waitingHandlers(deps: LifecycleRouteDeps): Handlers<typeof WAITING_ROUTES> {
  const { waiting, nameOf } = deps;
  return {
    'get /api/v1/waiting': () => waiting.answer(),
    'post /api/v1/waiting/{device}/accept': ({ params, request }) =>
      waiting.accept(params.device, { by: nameOf(request) }),
    'post /api/v1/waiting/{device}/ignore': ({ params, request }) =>
      waiting.ignore(params.device, { by: nameOf(request) }),
    'post /api/v1/waiting/{device}/restore': ({ params }) => waiting.unignore(params.device),
  };
}

/** The archive; and archiving and deleting places, probes and devices. */
export function archiveHandlers({ archive, nameOf }: LifecycleRouteDeps): Handlers<typeof ARCHIVE_ROUTES> {
  const contents = (target: ArchiveTarget) => archive.contents(target);
  const toArchive = (target: ArchiveTarget, request: Request) =>
    archive.archive(target, { by: nameOf(request) });
  const toDelete = (target: ArchiveTarget, request: Request) =>
    archive.delete(target, { by: nameOf(request) });
  return {
    'get /api/v1/archive': ({ query }) => {
      const { items } = archive.answer();
      const page = pageOf(items, query, { keyOf: ({ id }) => id, newestFirst: true });
      return { items: page.rows, ...page.next };
    },
    'post /api/v1/archive/{id}/restore': ({ params }) => archive.restore(params.id),
    'delete /api/v1/archive/{id}': ({ params, query, request }) =>
      archive.deleteItem(params.id, { now: query.now === true, by: nameOf(request) }),
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

function placeOf({ id }: { readonly id: string }): ArchiveTarget {
  return { kind: 'place', placeId: id };
}

function probeOf({ id }: { readonly id: number }): ArchiveTarget {
  return { kind: 'probe', probeId: id };
}

function deviceOf({ device }: { readonly device: string }): ArchiveTarget {
  return { kind: 'device', device };
}
