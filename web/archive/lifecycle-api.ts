import type { ArchiveAnswer, ArchiveItemView } from '../../shared/wire/lifecycle.ts';
import { call } from '../api.ts';
import type { ArchiveTarget } from './lifecycle.ts';

/** How many entries of the archive are asked for at once. */
const ARCHIVE_PART = 100;

/** What goes when it is archived or deleted. @throws ApiError */
export function contentsOf({ kind, id }: ArchiveTarget) {
  if (kind === 'device') return call('getDeviceContents', { params: { device: id } });
  return call(kind === 'place' ? 'getPlaceContents' : 'getProbeContents', { params: { id } });
}

/** @throws ApiError */
export function archive({ kind, id }: ArchiveTarget) {
  if (kind === 'device') return call('archiveDevice', { params: { device: id } });
  return call(kind === 'place' ? 'archivePlace' : 'archiveProbe', { params: { id } });
}

/** Deletes it; it can be restored for 30 days. @throws ApiError */
export function remove({ kind, id }: ArchiveTarget) {
  if (kind === 'device') return call('deleteDevice', { params: { device: id } });
  return call(kind === 'place' ? 'deletePlace' : 'deleteProbe', { params: { id } });
}

/** The newest entries of the archive, so many parts of them. @throws ApiError */
export async function newestArchived(parts: number): Promise<ArchiveAnswer> {
  const items: ArchiveItemView[] = [];
  let next: string | null = null;
  for (let part = 0; part < parts; part++) {
    const answer: ArchiveAnswer = await call('listArchive', { query: { limit: ARCHIVE_PART, cursor: next } });
    items.push(...answer.items);
    next = answer.next ?? null;
    if (next === null) break;
  }
  return { items, next };
}
