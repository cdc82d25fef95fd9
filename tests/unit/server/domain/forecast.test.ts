import { describe, expect, test } from 'vitest';
import { daysUntilFull, growthBytesPerDay } from '../../../../server/domain/disk-space/forecast.ts';
import { bytesText } from '../../../../shared/words/bytes.ts';

const DAY_MS = 86_400_000;
const NOW_MS = Date.UTC(2026, 5, 1);
const sized = (daysAgo: number, bytes: number) => ({ atMs: NOW_MS - daysAgo * DAY_MS, bytes });

describe('growth of the record', () => {
  test.each([
    ['begun 10 days ago, 10 MB now', [sized(10, 0)], 10e6, 1e6],
    ['20 MB 20 days ago, 60 MB now', [sized(300, 0), sized(20, 20e6), sized(2, 59e6)], 60e6, 2e6],
    ['nothing newer than 40 days, 5 MB then, 45 MB now', [sized(100, 0), sized(40, 5e6)], 45e6, 1e6],
    ['shrunk from 60 MB to 50 MB', [sized(10, 60e6)], 50e6, 0],
    ['begun 19 h ago', [sized(19 / 24, 0)], 10e6, null],
    ['begun 24 h ago', [sized(1, 0)], 10e6, 10e6],
    ['a size from 2 days ahead only', [sized(-2, 1e6)], 10e6, null],
    ['nothing known', [], 10e6, null],
  ])('%s', (_name, history, bytes, perDay) => {
    expect(growthBytesPerDay(history, { atMs: NOW_MS, bytes })).toBe(perDay);
  });
});

describe('days until the disk is full', () => {
  const room = { databaseBytes: 100, freeBytes: 10, bytesPerDay: 3, daily: false, backups: [], day: 20_605 };
  test('3 bytes a day into 10 fit for 3 days', () => {
    expect(daysUntilFull(room)).toBe(3);
  });

  test('a record of 100 that stands still, copied daily, fills 250 after 2 days', () => {
    expect(daysUntilFull({ ...room, bytesPerDay: 0, daily: true, freeBytes: 250 })).toBe(2);
  });

  test('copied daily it never fills 2,300: at most 22 copies are kept and 1 is new', () => {
    expect(daysUntilFull({ ...room, bytesPerDay: 0, daily: true, freeBytes: 2_300 })).toBe(730);
  });

  test('less room than 1 copy gives 0 days, and copies that go make room', () => {
    expect(daysUntilFull({ ...room, daily: true, freeBytes: 99 })).toBe(0);
    const week = Array.from({ length: 7 }, (_, n) => ({
      day: 20_599 + n,
      atMs: (20_599 + n) * DAY_MS,
      bytes: 100,
    }));
    const steady = { ...room, bytesPerDay: 0, daily: true, backups: week };
    expect(daysUntilFull({ ...steady, freeBytes: 100 })).toBeGreaterThan(0);
  });

  test('without growth and without copies, 730 stands for two years or more', () => {
    expect(daysUntilFull({ ...room, bytesPerDay: 0, freeBytes: 0 })).toBe(730);
  });
});

test.each([
  [0, '0 B'],
  [999, '999 B'],
  [1_000, '1.0 kB'],
  [12_345_678, '12 MB'],
  [3_400_000_000, '3.4 GB'],
])('%d bytes are read as %s', (bytes, text) => {
  expect(bytesText(bytes)).toBe(text);
});
