import { z } from 'zod';
import { DIARY_KINDS, DIARY_UNDO_MS, diaryNoteSchema } from '../../model/cuttings/diary.ts';
import { diaryEntrySchema } from '../../wire/cuttings/diary.ts';
import { instantSchema, oneOfSchema, optionalSpan, paging } from '../parameters.ts';
import type { Routes } from '../route.ts';

const params = { id: z.string().regex(/^\d{1,15}$/, 'GET /api/v1/diary lists them.') };
const about = {
  placeId: z.string().min(1).max(100).optional(),
  batchId: z
    .string()
    .regex(/^\d{1,15}$/, 'GET /api/v1/batches lists them')
    .optional(),
};
const WRITTEN = DIARY_KINDS.filter((kind) => kind !== 'photo');
const undoDays = DIARY_UNDO_MS / 86_400_000;
const at = instantSchema.optional().describe('now unless given; not ahead of now');

/** Photos: they are taken as they come, before anything reads bodies. */
export const PHOTO_ROUTES = {
  'post /api/v1/diary/photo': {
    id: 'addDiaryPhoto',
    role: 'tend',
    summary: 'Keep a photo, JPEG or PNG of up to 8 MB, with an entry of its own',
    query: z.object({ ...about, at, note: diaryNoteSchema.optional() }),
    uploads: ['image/jpeg', 'image/png'],
    answer: diaryEntrySchema,
    status: 201,
  },
  'put /api/v1/diary/{id}/thumbnail': {
    id: 'keepDiaryThumbnail',
    role: 'tend',
    summary: 'Keep a small picture of the photo of an entry, JPEG of up to 64 KiB, as the page makes it',
    params,
    uploads: ['image/jpeg'],
  },
} as const satisfies Routes;

/** The diary: what people write down about places and batches. */
export const DIARY_ROUTES = {
  'get /api/v1/diary': {
    id: 'listDiary',
    role: 'look',
    summary:
      'Entries, newest first, at most 1,000 at once; those of a batch with those of where it stood. The span holds its start, not its end',
    query: z.object({
      ...about,
      ...optionalSpan,
      state: oneOfSchema(['kept', 'deleted']).default('kept'),
      ...paging,
    }),
    answer: z
      .strictObject({
        entries: z.array(diaryEntrySchema),
        next: z.string().nullable().describe('the `cursor` to ask on with, null at the end'),
      })
      .meta({ id: 'DiaryAnswer' }),
  },
  'post /api/v1/diary': {
    id: 'addDiaryEntry',
    role: 'tend',
    summary: 'Write down what was done at a place or to a batch, now or earlier',
    body: z.strictObject({
      kind: oneOfSchema(WRITTEN as [(typeof WRITTEN)[number], ...(typeof WRITTEN)[number][]]),
      ...about,
      at,
      note: diaryNoteSchema.nullable().optional(),
    }),
    answer: diaryEntrySchema,
    status: 201,
  },
  'get /api/v1/diary/{id}': {
    id: 'getDiaryEntry',
    role: 'look',
    summary: 'One entry',
    params,
    answer: diaryEntrySchema,
  },
  'patch /api/v1/diary/{id}': {
    id: 'changeDiaryEntry',
    role: 'tend',
    summary: 'Change the time or the note of an entry',
    params,
    body: z.strictObject({ at: instantSchema, note: diaryNoteSchema.nullable() }).partial(),
    answer: diaryEntrySchema,
  },
  'delete /api/v1/diary/{id}': {
    id: 'deleteDiaryEntry',
    role: 'tend',
    summary: `Delete an entry; restoring undoes it for ${undoDays} days, and its photo is kept as long`,
    params,
  },
  'post /api/v1/diary/{id}/restore': {
    id: 'restoreDiaryEntry',
    role: 'tend',
    summary: 'Undo the deletion of an entry',
    params,
    answer: diaryEntrySchema,
  },
  'get /api/v1/diary/{id}/photo': {
    id: 'getDiaryPhoto',
    role: 'look',
    summary: 'The photo of an entry',
    params,
    media: ['image/jpeg', 'image/png'],
  },
  'get /api/v1/diary/{id}/thumbnail': {
    id: 'getDiaryThumbnail',
    role: 'look',
    summary: 'A small picture of the photo of an entry; the photo itself while there is none',
    params,
    media: ['image/jpeg', 'image/png'],
  },
} as const satisfies Routes;
