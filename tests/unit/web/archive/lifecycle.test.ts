import { expect, test } from 'vitest';
import type { ArchiveItemView, WaitingAnswer, WaitingDeviceView } from '../../../../shared/wire/lifecycle.ts';
import {
  acceptedWords,
  archiveWords,
  contentsWords,
  ignoredWords,
  leftOutWords,
  lostWords,
  waitingHeadline,
  waitingWords,
} from '../../../../web/archive/lifecycle.ts';

const NOW_MS = Date.UTC(2026, 5, 1, 12);
const reader = { timeZone: 'UTC', nowMs: NOW_MS };
const row: WaitingDeviceView = {
  device: 'bench-9',
  state: 'waiting',
  since: '2026-06-01T10:00:00Z',
  lastAt: '2026-06-01T11:58:00Z',
  received: 124,
  kept: 120,
  bytes: 24_000,
  dropped: 4,
  archived: false,
  decidedAt: null,
  decidedBy: null,
};
const answer: WaitingAnswer = {
  waiting: [],
  ignored: [],
  dropped: 0,
  turnedAway: 0,
  limits: { devices: 50, packsPerDevice: 5_000, bytesPerDevice: 1, bytesInAll: 1 },
};
const item: ArchiveItemView = {
  id: 1,
  kind: 'place',
  name: 'Sill',
  state: 'deleted',
  since: '2026-06-01T10:00:00Z',
  by: 'owner',
  until: '2026-07-01T10:00:00Z',
  leftOut: 0,
  places: [{ id: 'sill', name: 'Sill' }],
  devices: ['sill'],
  probes: 3,
  readingsFrom: '2026-05-01T08:00:00Z',
  readingsTo: '2026-06-01T09:59:00Z',
  activeAlarms: 1,
  alarms: 4,
  entries: 2,
};

test('0, 1 and 3 devices that wait', () => {
  expect([0, 1, 3].map(waitingHeadline)).toEqual([
    null,
    '1 new device is waiting.',
    '3 new devices are waiting.',
  ]);
});

test('a device that waits: since when, and what is kept and not kept of it', () => {
  expect(waitingWords(row, reader)).toBe(
    'First seen 10:00, last 2 min ago; 120 messages kept (24 kB), 4 not kept.',
  );
  expect(waitingWords({ ...row, kept: 1, dropped: 0 }, reader)).toContain('1 message kept (24 kB).');
});

test('a device that is ignored: who did it, and how many came since', () => {
  const ignored = {
    ...row,
    state: 'ignored',
    decidedAt: '2026-06-01T11:00:00Z',
    decidedBy: 'Robin',
  } as const;
  expect(ignoredWords(ignored, reader)).toBe('Ignored by Robin 11:00; 124 messages so far, 4 not kept.');
});

test('what was lost to the limits is said, and nothing while nothing was', () => {
  expect(lostWords(answer)).toBeNull();
  expect(lostWords({ ...answer, turnedAway: 2, dropped: 1 })).toBe(
    '2 messages of other new devices rejected: 50 can wait at once. 1 message of devices accepted or ignored since not kept.',
  );
});

test('what came of accepting', () => {
  expect(acceptedWords({ device: 'bench-9', stored: 361, refused: 1, dropped: 4 })).toBe(
    'bench-9 accepted: 361 readings stored, 5 messages not kept.',
  );
});

test('what goes with a place is named', () => {
  expect(contentsWords(item, reader)).toEqual([
    'place Sill',
    '3 probes',
    expect.stringMatching(/^readings since .*08:00/),
    'history of 4 alarms',
    '1 active alarm: not judged any more',
    '2 entries by hand',
  ]);
  const empty = {
    ...item,
    places: [],
    readingsFrom: null,
    activeAlarms: 0,
    alarms: 0,
    entries: 0,
    probes: 1,
  };
  expect(contentsWords(empty, reader)).toEqual(['1 probe', 'no readings']);
});

test('deleted says when it is removed, archived that it stays', () => {
  expect(archiveWords(item, reader)).toMatch(/^Deleted by owner 10:00\. Removed for good .*10:00\.$/);
  expect(archiveWords({ ...item, state: 'archived', by: null, until: null }, reader)).toBe(
    'Archived 10:00. Kept until you delete it.',
  );
  expect(archiveWords({ ...item, state: 'removing' }, reader)).toBe('Being removed for good.');
});

test('readings that came for it are counted', () => {
  expect([leftOutWords(item), leftOutWords({ ...item, leftOut: 1 })]).toEqual([
    null,
    '1 reading not stored since Strikewell started.',
  ]);
});
