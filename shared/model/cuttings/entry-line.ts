import { z } from 'zod';
import { nameSchema } from '../name.ts';
import { DIARY_KINDS, diaryNoteSchema, MAX_PHOTO_BYTES, PHOTO_NAME } from './diary.ts';
import { identityShape, instantMs } from './identity-line.ts';

/** A photo in base64 is a third longer than its bytes. */
const MAX_PHOTO_CHARACTERS = Math.ceil(MAX_PHOTO_BYTES / 3) * 4;
/** Longest line of an exported diary, characters: a photo, and what is said of it. */
export const MAX_ENTRY_LINE_CHARACTERS = MAX_PHOTO_CHARACTERS + 65_536;

/** An entry of the diary as a line of its export has it. Its number, and that of its batch, are not looked at. */
export const entryLineSchema = z.strictObject({
  id: z.unknown().optional(),
  at: instantMs,
  to: instantMs.nullable().optional(),
  kind: z.enum(DIARY_KINDS),
  place: z.string().min(1).max(100).nullable().optional(),
  ...identityShape,
  note: diaryNoteSchema.nullable().optional(),
  by: nameSchema.nullable().optional(),
  photo: z.string().regex(PHOTO_NAME).nullable().optional(),
  /** the photo itself, in base64, where it was asked for */
  photoData: z
    .string()
    .max(MAX_PHOTO_CHARACTERS)
    .regex(/^[A-Za-z0-9+/]*={0,2}$/, 'must be base64')
    .optional(),
});
export type EntryLine = z.output<typeof entryLineSchema>;
