import type { EntryQuery, KeptEntry } from '../../domain/diary/entry.ts';

/** A vent somebody wrote down, ms since epoch; `toMs` is null where only the opening was. */
export type VentEntry = {
  readonly id: number;
  readonly placeId: string;
  readonly fromMs: number;
  readonly toMs: number | null;
  readonly note: string | null;
};

export type NewEntry = Omit<KeptEntry, 'id' | 'deletedMs'>;

/** What people write down about places and batches. Everything that writes, inside a transaction. */
export type Diary = {
  list(query: EntryQuery): KeptEntry[];
  /** deleted ones too */
  get(id: number): KeptEntry | null;
  /** how many there are, and how many of them have a photo; deleted ones too */
  counts(): { readonly entries: number; readonly photos: number };
  /** how many entries of a place are not deleted */
  countAt(placeId: string): number;
  add(entry: NewEntry): number;
  update(entry: KeptEntry): void;
  /** Forgets an entry for good. */
  remove(id: number): void;
  /** Those deleted before a time, ms since epoch, and those whose place and batch were removed; some, the oldest first. */
  lapsed(beforeMs: number, limit: number): KeptEntry[];
  /** how many entries have the photo of that name; deleted ones too */
  withPhoto(name: string): number;
  /** entries of vents that are not deleted, in the order of their start */
  vents(placeId: string): VentEntry[];
  addVent(entry: Omit<VentEntry, 'id'>): VentEntry;
  /** @returns false when there is no such entry at the place */
  removeVent(entry: { placeId: string; id: number; atMs: number }): boolean;
};
