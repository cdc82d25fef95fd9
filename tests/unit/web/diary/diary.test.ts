import { describe, expect, test } from 'vitest';
import { DIARY_KINDS } from '../../../../shared/model/cuttings/diary.ts';
import type { DiaryEntry } from '../../../../shared/wire/cuttings/diary.ts';
import { entryOf, valuesOf, wallAgo } from '../../../../web/diary/entry-form.ts';
import { marksOf, placedMarks } from '../../../../web/diary/marks.ts';
import { entryWords, KIND_WORDS, markWords, photoWords, TAPPED } from '../../../../web/diary/words.ts';
import { marksPath } from '../../../../web/place/other-readings.ts';

/** 2026-06-01 10:00 UTC, noon in Vienna. */
const NOW_MS = Date.UTC(2026, 5, 1, 10);
const HOUR_MS = 3_600_000;
const at = (hours: number) => new Date(NOW_MS + hours * HOUR_MS).toISOString();
const VIENNA = { timeZone: 'Europe/Vienna', nowMs: NOW_MS };
const entry = (change: Partial<DiaryEntry> = {}): DiaryEntry => ({
  id: '1',
  kind: 'misted',
  at: at(-1),
  to: null,
  placeId: 'bench-1',
  batchId: null,
  note: null,
  by: null,
  photo: false,
  deletedAt: null,
  ...change,
});

describe('the words of an entry', () => {
  test('each kind has its word, and 8 are written down with one tap', () => {
    expect(Object.keys(KIND_WORDS).toSorted()).toEqual([...DIARY_KINDS].toSorted());
    expect(TAPPED.map((kind) => KIND_WORDS[kind])).toEqual([
      'Misted',
      'Vented',
      'Watered',
      'Shade on',
      'Shade off',
      'Moved',
      'Treated',
      'Power cut',
    ]);
  });

  test.each([
    [entry(), 'Misted 11:00'],
    [entry({ kind: 'shade-off' }), 'Shade off 11:00'],
    [entry({ kind: 'vented', to: at(-1) }), 'Vented 11:00'],
    [entry({ kind: 'vented', to: at(-0.5) }), 'Vented 11:00 to 11:30'],
    [entry({ kind: 'vented', to: null }), 'Vented 11:00, not shut yet'],
  ])('%o reads "%s"', (of, words) => {
    expect(entryWords(of, VIENNA)).toBe(words);
  });

  test('who wrote it and the note follow, and a photo says when it was taken', () => {
    expect(markWords(entry({ by: 'Sam', note: 'by hand' }), VIENNA)).toBe('Misted 11:00, by Sam, by hand');
    expect(photoWords(entry({ kind: 'photo', note: 'roots' }), VIENNA)).toBe('Photo, 11:00: roots');
    expect(photoWords(entry({ kind: 'photo' }), VIENNA)).toBe('Photo, 11:00');
  });
});

describe('the form of an entry', () => {
  const before = valuesOf(entry({ note: 'by hand' }), VIENNA.timeZone);

  test('opens with its wall-clock time, and "10 min ago" is 11:50 at noon', () => {
    expect(before).toEqual({ at: '2026-06-01T11:00', note: 'by hand' });
    expect(wallAgo(10, VIENNA)).toBe('2026-06-01T11:50');
  });

  test('sends a time only where it was changed, as the form has no seconds', () => {
    expect(entryOf(before, before, VIENNA).body).toEqual({ note: 'by hand' });
    expect(entryOf({ at: '2026-06-01T11:50', note: ' ' }, before, VIENNA).body).toEqual({
      at: '2026-06-01T09:50:00.000Z',
      note: null,
    });
  });

  test.each([
    [{ at: '', note: '' }, { at: 'when was it?' }],
    [{ at: '2026-06-01T12:01', note: '' }, { at: 'that is still to come' }],
    [{ at: before.at, note: 'n'.repeat(2_001) }, { note: 'use at most 2,000 characters' }],
  ])('%o is refused', (values, errors) => {
    expect(entryOf(values, before, VIENNA)).toEqual({ body: null, errors });
  });
});

describe('marks on a chart', () => {
  test('stand in the order of time, with their words in small letters', () => {
    const marks = marksOf([entry({ at: at(-1) }), entry({ kind: 'power-cut', at: at(-3) })]);
    expect(marks).toEqual([
      { atMs: NOW_MS - 3 * HOUR_MS, label: 'power cut' },
      { atMs: NOW_MS - HOUR_MS, label: 'misted' },
    ]);
  });

  // 7 px a letter: "misted" takes 42 px, and 6 px are left free after it
  test('a label over the one before it is left out, one too near to the edge at 300 px stands left of its line', () => {
    const marks = [10, 57, 58, 259, 264].map((x) => ({ atMs: x, label: 'misted' }));
    expect(placedMarks(marks, { x: (atMs) => atMs, right: 300 })).toEqual([
      { x: 10, label: 'misted', side: 'right' },
      { x: 57, label: null, side: 'right' },
      { x: 58, label: 'misted', side: 'right' },
      { x: 259, label: 'misted', side: 'left' },
      { x: 264, label: null, side: 'left' },
    ]);
  });

  test('on a plain chart of 240 by 40 a mark in the middle of a day is a line at 120', () => {
    const box = { width: 240, height: 40, fromMs: NOW_MS - 24 * HOUR_MS, toMs: NOW_MS };
    expect(marksPath([{ atMs: NOW_MS - 12 * HOUR_MS, label: 'misted' }], box)).toBe('M120.0 0v40');
    expect(marksPath([], box)).toBe('');
  });
});
