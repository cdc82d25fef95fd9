import type { DiaryKind } from '../../shared/model/cuttings/diary.ts';
import type { DiaryEntry } from '../../shared/wire/cuttings/diary.ts';

/** What an entry hangs on: one of them at least. A batch without a place: where it stood then. */
export type EntryAbout = { readonly placeId: string | null; readonly batchId: string | null };

/** An entry as it is ordered; times in ms since epoch, now where null. */
type EntryOrder = EntryAbout & {
  readonly kind: Exclude<DiaryKind, 'photo'>;
  readonly atMs: number | null;
  readonly note: string | null;
  readonly by: string | null;
};
type PhotoOrder = Omit<EntryOrder, 'kind'>;

type EntryList = { readonly entries: DiaryEntry[]; readonly next: string | null };

type PhotoBytes = { readonly bytes: Uint8Array; readonly mediaType: string };

/**
 * The diary. Each throws Fault `not-found` for an unknown or deleted entry, `bad-request` for what does not fit, and
 * `store-failed`.
 */
export type DiaryService = {
  /** newest first. @param query.after `next` of an answer before */
  list(
    query: EntryAbout & {
      readonly fromMs: number | null;
      readonly toMs: number | null;
      readonly deleted: boolean;
      readonly limit: number;
      readonly after: string | null;
    },
  ): EntryList;
  get(id: string): DiaryEntry;
  add(order: EntryOrder): DiaryEntry;
  /** Keeps a photo with its entry. @throws Fault `not-a-photo`, `photo-too-large` */
  addPhoto(order: PhotoOrder, bytes: Uint8Array): Promise<DiaryEntry>;
  photo(id: string): Promise<PhotoBytes>;
  /** its small picture; `isWhole` where it has none, and this is the photo */
  thumbnail(id: string): Promise<PhotoBytes & { readonly isWhole: boolean }>;
  /** @throws Fault `not-a-photo`, `photo-too-large` */
  keepThumbnail(id: string, bytes: Uint8Array): Promise<void>;
  change(
    id: string,
    change: { readonly atMs?: number | undefined; readonly note?: string | null | undefined },
  ): DiaryEntry;
  remove(id: string): void;
  /** @throws Fault `not-found` once it was removed for good */
  restore(id: string): DiaryEntry;
};
