import { z } from 'zod';
import { newSheetSchema, sheetSchema } from '../../model/cuttings/sheet.ts';
import { sheetsAnswerSchema } from '../../wire/cuttings/sheets.ts';
import { numberSchema } from '../parameters.ts';
import type { Routes } from '../route.ts';

const version = numberSchema({
  min: 1,
  max: 1_000_000,
  whole: true,
  words: 'the number of a version, from 1 on',
});

/** Target sheets: what crops want by stage, shipped and made here. */
export const SHEET_ROUTES = {
  'get /api/v1/sheets': {
    id: 'listSheets',
    role: 'look',
    summary: 'Every target sheet in its newest version, shipped ones first, each figure with its source',
    answer: sheetsAnswerSchema,
  },
  'get /api/v1/sheets/{id}': {
    id: 'getSheet',
    role: 'look',
    summary: 'One target sheet, in its newest version or the one asked for; POST takes it as it is',
    query: z.object({ version: version.optional() }),
    answer: sheetSchema,
  },
  'post /api/v1/sheets': {
    id: 'addSheet',
    role: 'own',
    summary: 'Make an own sheet: its first version',
    body: newSheetSchema,
    answer: sheetSchema,
    status: 201,
  },
  'put /api/v1/sheets/{id}': {
    id: 'changeSheet',
    role: 'own',
    summary: 'Make the next version of an own sheet; a batch keeps the version it was given',
    body: newSheetSchema,
    answer: sheetSchema,
  },
  'delete /api/v1/sheets/{id}': {
    id: 'deleteSheet',
    role: 'own',
    summary: 'Delete an own sheet that no batch uses',
  },
  'post /api/v1/sheets/{id}/restore': {
    id: 'restoreSheet',
    role: 'own',
    summary: 'Take back the deletion of an own sheet',
    answer: sheetSchema,
  },
} as const satisfies Routes;
