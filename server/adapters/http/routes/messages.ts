import type { MESSAGE_ROUTES } from '../../../../shared/routes/messages.ts';
import type { ForeignMessages } from '../../../ports.ts';
import type { Handlers } from '../router.ts';

/** /api/v1/watch and /mappings. */
export function messageHandlers({
  foreignMessages,
}: {
  readonly foreignMessages: ForeignMessages;
}): Handlers<typeof MESSAGE_ROUTES> {
  return {
    'get /api/v1/watch': ({ query }) => foreignMessages.watched({ afterId: query.after ?? 0 }),
    'post /api/v1/watch': () => foreignMessages.watch(),
    'get /api/v1/watch/unread': () => foreignMessages.unreadTopics(),
    'get /api/v1/mappings': () => foreignMessages.mappings(),
    'post /api/v1/mappings': ({ body }) => foreignMessages.addMapping(body),
    'get /api/v1/mappings/listen': () => foreignMessages.captured(),
    'post /api/v1/mappings/listen': ({ body }) => foreignMessages.listen(body.filter),
    'delete /api/v1/mappings/listen': () => foreignMessages.stopListening(),
    'post /api/v1/mappings/try': ({ body }) => foreignMessages.tryOut(body),
    'put /api/v1/mappings/{id}': ({ params, body }) => foreignMessages.updateMapping(params.id, body),
    'delete /api/v1/mappings/{id}': ({ params }) => foreignMessages.removeMapping(params.id),
  };
}
