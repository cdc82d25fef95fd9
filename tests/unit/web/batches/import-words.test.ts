import { describe, expect, test } from 'vitest';
import { hasAny, importWords, refusedWords } from '../../../../web/batches/import-words.ts';

const none = { dryRun: true, batches: 0, preparations: 0, sheets: 0, entries: 0, photos: 0 };

describe('a file of cuttings', () => {
  test.each([
    [{ batches: 2, sheets: 1 }, '2 batches and 1 sheet would be added.'],
    [{ batches: 1, preparations: 2, entries: 1 }, '1 batch, 2 plans and 1 diary entry would be added.'],
    [{ entries: 9, photos: 1 }, '9 diary entries, with 1 photo, would be added.'],
    [{}, 'Nothing of it would be added.'],
    [{ dryRun: false, preparations: 1 }, 'Added: 1 plan.'],
    [{ dryRun: false, entries: 2, photos: 2 }, 'Added: 2 diary entries, with 2 photos.'],
    [{ dryRun: false }, 'Nothing was added.'],
  ])('%o is said as "%s"', (sums, words) => {
    expect(importWords({ ...none, ...sums })).toBe(words);
  });

  test('there is something to add with one entry, and with nothing there is not', () => {
    expect(hasAny({ ...none, entries: 1 })).toBe(true);
    expect(hasAny(none)).toBe(false);
  });

  test('each refusal is said by its place and name, and how many are not listed', () => {
    const reason = 'There is no place "sill".';
    const batch = { what: 'batch', nth: 3, name: 'Coleus', reason } as const;
    const refused = [batch, { what: 'entry', nth: 7, name: null, reason } as const];
    expect(refusedWords({ refused, refusedInAll: 2 })).toEqual([
      'Batch 3 (Coleus): There is no place "sill".',
      'Diary entry 7: There is no place "sill".',
    ]);
    expect(refusedWords({ refused, refusedInAll: 9 }).at(-1)).toBe('And 7 more that are not listed.');
  });
});
