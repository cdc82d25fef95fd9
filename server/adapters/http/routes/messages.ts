import type { MESSAGE_ROUTES } from '../../../../shared/routes/messages.ts';
import type { Hearing } from '../../../ports.ts';
import type { Handlers } from '../router.ts';

/** /api/v1/watch and /mappings. */
export function messageHandlers({ hearing }: { readonly hearing: Hearing }): Handlers<typeof MESSAGE_ROUTES> {
  return {
    'get /api/v1/watch': ({ query }) => hearing.watched({ afterId: query.after ?? 0 }),
    'post /api/v1/watch': () => hearing.watch(),
    'get /api/v1/watch/unread': () => hearing.unreadTopics(),
    'get /api/v1/mappings': () => hearing.mappings(),
    'post /api/v1/mappings': ({ body }) => hearing.addMapping(body),
    'get /api/v1/mappings/listen': () => hearing.captured(),
    'post /api/v1/mappings/listen': ({ body }) => hearing.listen(body.filter),
    'delete /api/v1/mappings/listen': () => hearing.stopListening(),
    'post /api/v1/mappings/try': ({ body }) => hearing.tryOut(body),
    'put /api/v1/mappings/{id}': ({ params, body }) => hearing.updateMapping(params.id, body),
    'delete /api/v1/mappings/{id}': ({ params }) => hearing.removeMapping(params.id),
  };
}
