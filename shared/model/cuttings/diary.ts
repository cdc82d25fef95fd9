import { z } from 'zod';

/** What may be written down with one tap; `photo` is a picture of how it looks. */
export const DIARY_KINDS = [
  'misted',
  'vented',
  'watered',
  'shade-on',
  'shade-off',
  'moved',
  'treated',
  'power-cut',
  'note',
  'photo',
] as const;
export type DiaryKind = (typeof DIARY_KINDS)[number];

/** Entries begin in the year 2000, ms since epoch: what is older is a clock that was never set. */
export const DIARY_EARLIEST_MS = Date.UTC(2000, 0, 1);
/** Most entries that are kept, deleted ones too. */
export const MAX_DIARY_ENTRIES = 200_000;
/** Most entries with a photo among them. */
export const MAX_PHOTOS = 5_000;
/** Largest photo, bytes. */
export const MAX_PHOTO_BYTES = 8 * 1024 * 1024;
/** Largest small picture of a photo, bytes. */
export const MAX_THUMBNAIL_BYTES = 64 * 1024;
/** How long a deleted entry can be restored, ms; its photo is kept until then. */
export const DIARY_UNDO_MS = 30 * 86_400_000;

const MAX_NOTE_CHARACTERS = 2_000;
export const diaryNoteSchema = z
  .string()
  .trim()
  .min(1)
  .max(MAX_NOTE_CHARACTERS, `must be at most ${MAX_NOTE_CHARACTERS} characters`);

/** The name of a photo beside the record: SHA-256 of its bytes, and what it is by its first bytes. */
export const PHOTO_NAME = /^[0-9a-f]{64}\.(jpg|png)$/;
