import { describe, expect, test } from 'vitest';
import { importWords, readCuttings, refusedWords } from '../../../../web/batches/import-words.ts';

describe('a file of batches and sheets', () => {
  test('is read line by line, or as one object, or as a list', () => {
    const batch = { crop: 'Coleus', stays: [] };
    const sheet = { name: 'Mine', stages: [] };
    const lines = `${JSON.stringify(batch)}\n${JSON.stringify(sheet)}\n\n`;
    expect(readCuttings(lines)).toEqual({ batches: [batch], sheets: [sheet] });
    expect(readCuttings(JSON.stringify(sheet, null, 2))).toEqual({ batches: [], sheets: [sheet] });
    expect(readCuttings(JSON.stringify([batch, batch]))).toEqual({ batches: [batch, batch], sheets: [] });
    expect(() => readCuttings('crop,count\n')).toThrow(SyntaxError);
  });

  test('is said with what was taken, and each refusal by its place and name', () => {
    const answer = { dryRun: true, batches: 2, sheets: 1, refused: [], notes: [] };
    expect(importWords(answer)).toBe('2 batches and 1 sheet would be added.');
    expect(importWords({ ...answer, dryRun: false, batches: 1, sheets: 0 })).toBe(
      'Added: 1 batch and 0 sheets.',
    );
    const refused = { what: 'batch', nth: 3, name: 'Coleus', reason: 'There is no place "sill".' } as const;
    expect(refusedWords({ refused: [refused, { ...refused, what: 'sheet', name: null }] })).toEqual([
      'Batch 3 (Coleus): There is no place "sill".',
      'Sheet 3: There is no place "sill".',
    ]);
  });
});
