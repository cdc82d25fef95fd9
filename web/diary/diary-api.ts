import { signal } from '@preact/signals';
import type { DiaryEntry } from '../../shared/wire/cuttings/diary.ts';
import { addressOf, call, spanQuery } from '../api.ts';
import { useLoaded } from '../common/hooks.ts';
import type { View } from '../common/plot.ts';
import { type Mark, marksOf } from './marks.ts';

/** What entries are about. */
export type About = { readonly placeId?: string; readonly batchId?: string };

/** Most entries that are marked on one chart. */
const MOST_MARKED = 500;
/** Most entries that are printed with a batch. */
const MOST_PRINTED = 1_000;

/** Rises with each change of the diary made on this page, so that charts and lists ask again. */
export const diaryRound = signal(0);

/** Entries about a place or a batch, newest first, and whether there are older ones. */
export async function entriesOf(about: About, query: { limit: number; state?: 'deleted' }) {
  const { entries, next } = await call('listDiary', { query: { ...about, ...query } });
  return { entries, more: next !== null };
}

/** All entries about a batch, in the order of time. */
export async function allOfBatch(batchId: string): Promise<readonly DiaryEntry[]> {
  const { entries } = await call('listDiary', { query: { batchId, limit: MOST_PRINTED } });
  return entries.toReversed();
}

/** The address of a photo. */
export function photoAddress({ id }: Pick<DiaryEntry, 'id'>): string {
  return addressOf('getDiaryPhoto', { params: { id } });
}

/** The address of its small picture, which is the photo itself while there is none. */
export function thumbnailAddress({ id }: Pick<DiaryEntry, 'id'>): string {
  return addressOf('getDiaryThumbnail', { params: { id } });
}

const NONE: readonly DiaryEntry[] = [];

/** Entries of a place over a span, newest first; none while there is no span. */
export function useEntriesIn(placeId: string, view: View | null): readonly DiaryEntry[] {
  const key = `diary ${placeId} ${view?.fromMs} ${view?.toMs} ${diaryRound.value}`;
  const { value } = useLoaded(key, async () => {
    if (view === null) return NONE;
    const query = { placeId, ...spanQuery(view), limit: MOST_MARKED };
    return (await call('listDiary', { query })).entries;
  });
  return value ?? NONE;
}

/** Marks for the charts of a place. */
export function useMarks(placeId: string, view: View | null): readonly Mark[] {
  return marksOf(useEntriesIn(placeId, view));
}
