import type { NewMapping } from '../../shared/model/probes/mapping.ts';
import type {
  ListenAnswer,
  MappingsAnswer,
  MappingView,
  TryAnswer,
  UnreadAnswer,
  WatchAnswer,
} from '../../shared/wire/probes/foreign-messages.ts';
import { ask } from '../api.ts';

const send = <T>(method: string, path: string, body: unknown = {}) =>
  ask<T>(path, { method, body: JSON.stringify(body) });

/** Watching devices speak, and how messages on other topics are read, over HTTP. Each throws ApiError. */
export const foreignMessagesApi = {
  watch: () => send<WatchAnswer>('POST', '/watch'),
  watched: (afterId: number) => ask<WatchAnswer>(`/watch?after=${afterId}`),
  unread: () => ask<UnreadAnswer>('/watch/unread'),
  mappings: () => ask<MappingsAnswer>('/mappings'),
  add: (mapping: NewMapping) => send<MappingView>('POST', '/mappings', mapping),
  update: (id: number, mapping: NewMapping) => send<MappingView>('PUT', `/mappings/${id}`, mapping),
  remove: (id: number) => send<unknown>('DELETE', `/mappings/${id}`),
  captured: () => ask<ListenAnswer>('/mappings/listen'),
  listen: (filter: string) => send<ListenAnswer>('POST', '/mappings/listen', { filter }),
  stopListening: () => send<ListenAnswer>('DELETE', '/mappings/listen'),
  tryOut: (mapping: NewMapping, received: number) =>
    send<TryAnswer>('POST', '/mappings/try', { mapping, heard: received }),
};
