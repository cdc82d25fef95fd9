import type {
  AcceptedDevice,
  ArchiveAnswer,
  ArchiveContents,
  ArchiveItemView,
  WaitingAnswer,
} from '../../shared/wire/lifecycle.ts';
import { ask } from '../api.ts';
import type { ArchiveTarget } from './lifecycle.ts';

const post = <T>(path: string) => ask<T>(path, { method: 'POST', body: '{}' });
const remove = <T>(path: string) => ask<T>(path, { method: 'DELETE' });
const waitingPath = (device: string, order: string) => `/waiting/${encodeURIComponent(device)}/${order}`;

function targetPath({ kind, id }: ArchiveTarget): string {
  return `/${kind}s/${encodeURIComponent(id)}`;
}

/** How many entries of the archive are asked for at once. */
const ARCHIVE_PART = 100;

/** Devices that wait to be accepted, and the archive, over HTTP. Each throws ApiError. */
export const lifecycleApi = {
  waiting: () => ask<WaitingAnswer>('/waiting'),
  accept: (device: string) => post<AcceptedDevice>(waitingPath(device, 'accept')),
  ignore: (device: string) => post<unknown>(waitingPath(device, 'ignore')),
  unignore: (device: string) => post<unknown>(waitingPath(device, 'restore')),
  archived: (parts: number) => archivedIn(parts),
  contents: (target: ArchiveTarget) => ask<ArchiveContents>(`${targetPath(target)}/contents`),
  archive: (target: ArchiveTarget) => post<ArchiveItemView>(`${targetPath(target)}/archive`),
  delete: (target: ArchiveTarget) => remove<ArchiveItemView>(targetPath(target)),
  restore: (id: number) => post<unknown>(`/archive/${id}/restore`),
  deleteItem: (id: number, now: boolean) =>
    remove<ArchiveItemView>(`/archive/${id}${now ? '?now=true' : ''}`),
};

/** The newest entries of the archive, so many parts of them. */
async function archivedIn(parts: number): Promise<ArchiveAnswer> {
  const items: ArchiveItemView[] = [];
  let next: string | null = null;
  for (let part = 0; part < parts; part++) {
    const cursor: string = next === null ? '' : `&cursor=${next}`;
    const answer: ArchiveAnswer = await ask<ArchiveAnswer>(`/archive?limit=${ARCHIVE_PART}${cursor}`);
    items.push(...answer.items);
    next = answer.next ?? null;
    if (next === null) break;
  }
  return { items, next };
}
