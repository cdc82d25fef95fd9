import { z } from 'zod';
import { DIARY_KINDS } from '../../model/cuttings/diary.ts';
import type { Output } from '../../model/output.ts';

const time = z.iso.datetime().describe('RFC 3339');

export const diaryEntrySchema = z
  .strictObject({
    id: z.string(),
    kind: z.enum(DIARY_KINDS),
    at: time,
    to: time.nullable().describe('of a vent: when the cover was shut, null while nobody wrote that down'),
    placeId: z.string().nullable().describe('null: that place was removed'),
    batchId: z.string().nullable(),
    note: z.string().nullable(),
    by: z.string().nullable().describe('who wrote it down; null while there are no accounts'),
    photo: z.boolean().describe('GET /api/v1/diary/{id}/photo has it'),
    deletedAt: time.nullable().describe('null unless it was deleted, which can be undone for 30 days'),
  })
  .meta({ id: 'DiaryEntry', description: 'What somebody wrote down about a place or a batch, at a time.' });
export type DiaryEntry = Output<typeof diaryEntrySchema>;
