import { describe, expect, test } from 'vitest';
import {
  batchName,
  dayWords,
  differenceWords,
  dueWords,
  endWords,
  lossWords,
  stageWords,
  strikeWords,
  thermalTimeWords,
} from '../../../../web/batches/words.ts';
import { AT, ago, BATCH } from './examples.ts';

test('a batch is named by its crop, and its cultivar where it has one', () => {
  expect(batchName({ ...BATCH, crop: 'poinsettia' })).toBe('Poinsettia');
  expect(batchName({ ...BATCH, cultivar: 'Freedom' })).toBe('Poinsettia ‘Freedom’');
});

describe('days since sticking', () => {
  test('count local midnights: stuck at 23:50, day 1 ten minutes later', () => {
    const stuckAt = new Date(Date.UTC(2025, 11, 2, 23, 50)).toISOString();
    const nowMs = Date.UTC(2025, 11, 3, 0, 1);
    expect(dayWords({ stuckAt, closedAt: null }, { timeZone: 'UTC', nowMs })).toBe('day 1');
    expect(dayWords({ stuckAt, closedAt: null }, { timeZone: 'Europe/Berlin', nowMs })).toBe('day 0');
  });

  test('are not one short across the night of 25 h in which the clock goes back', () => {
    const stuckAt = new Date(Date.UTC(2025, 9, 25, 21, 30)).toISOString();
    const nowMs = Date.UTC(2025, 9, 26, 23, 30);
    expect(dayWords({ stuckAt, closedAt: null }, { timeZone: 'Europe/Berlin', nowMs })).toBe('day 2');
  });

  test('stop when it is closed', () => {
    expect(dayWords(BATCH, AT)).toBe('day 12');
    expect(dayWords({ ...BATCH, closedAt: ago(3) }, AT)).toBe('day 9');
  });
});

test('the stage is said with its start and how long it lasts, or that it is closed', () => {
  expect(stageWords(BATCH, AT)).toBe('Rooting since 27 Nov, 12:00 (6 d)');
  expect(stageWords({ ...BATCH, closedAt: ago(1) }, AT)).toBe('Closed Tue 12:00, in the stage rooting');
});

test('what lasts goes on until now, or until the batch was closed', () => {
  expect(endWords({ to: null }, BATCH, AT)).toBe('now');
  expect(endWords({ to: null }, { closedAt: ago(1) }, AT)).toBe('Tue 12:00');
  expect(endWords({ to: ago(2) }, { closedAt: ago(1) }, AT)).toBe('Mon 12:00');
});

test.each([
  ['ahead', 'Toning is expected 5 Dec to 9 Dec'],
  ['due', 'Toning is due (5 Dec to 9 Dec)'],
  ['late', 'Toning was expected by 9 Dec'],
] as const)('a stage that is %s: %s', (state, words) => {
  expect(dueWords({ due: { stage: 'toning', from: ago(-2), to: ago(-6), state } }, AT)).toBe(words);
});

test('nothing is due where nothing is known, and one day is said once', () => {
  expect(dueWords(BATCH, AT)).toBeNull();
  const due = { stage: 'toning', from: ago(-2), to: ago(-2), state: 'due' } as const;
  expect(dueWords({ due }, AT)).toBe('Toning is due (5 Dec)');
});

// [WILSON27] 40 of 50: 0.6696 to 0.8876
test('40 of 50 rooted: 80 %, between 67 and 89 %', () => {
  const strike = { rooted: 40, share: 0.8, low95: 0.6696, high95: 0.8876, method: 'Wilson' } as const;
  expect(strikeWords({ looked: 50, ...strike })).toBe('40 of 50 rooted: 80\u00a0%, between 67 and 89\u00a0%');
});

describe('how two batches differ', () => {
  const names = [
    { id: '1', name: 'A' },
    { id: '2', name: 'B' },
  ] as const;
  const said = (difference: number, low95: number, high95: number, better: string | null) =>
    differenceWords(
      { difference, low95, high95, method: 'Newcombe', toldApart: better !== null, better },
      names,
    );

  // [NEWCOMBE98B] 18/20 − 14/20
  test('not told apart, neither is called the better', () => {
    const words = said(0.2, -0.0536, 0.4305, null);
    expect(words).toBe(
      'Not told apart: A less B is 20 percentage points, anywhere from −5 to 43. More cuttings counted would narrow it.',
    );
    expect(words).not.toContain('better');
  });

  // [NEWCOMBE98B] 56/70 − 48/80, and swapped
  test('told apart, the better is named with the range of the difference', () => {
    const words = 'struck better than';
    expect(said(0.2, 0.0524, 0.3339, '1')).toBe(`A ${words} B: by 20 percentage points, between 5 and 33.`);
    expect(said(-0.2, -0.3339, -0.0524, '2')).toBe(
      `B ${words} A: by 20 percentage points, between 5 and 33.`,
    );
  });
});

describe('thermal time', () => {
  const known = { baseC: 21, optimumC: 28, stopC: 32, degreeHours: 640, coveredHours: 250 };

  test('is said with its limits, its paper and the hours on record, in °C and °F', () => {
    const thermalTime = { ...known, source: 'WILKERSON05', reason: null };
    expect(thermalTimeWords(thermalTime, 'C').replaceAll('\u00a0', ' ')).toBe(
      'Thermal time of the root zone: 640.0 °C·h (above 21.0 °C, fastest at 28.0 °C, none from 32.0 °C on) [WILKERSON05], in 250.0 h on record.',
    );
    expect(thermalTimeWords(thermalTime, 'F').replaceAll('\u00a0', ' ')).toContain(
      '1152.0 °F·h (above 69.8 °F',
    );
  });

  test('of a crop without published limits is not made up', () => {
    const none = { baseC: null, optimumC: null, stopC: null, degreeHours: null, coveredHours: null };
    expect(thermalTimeWords({ ...none, source: null, reason: 'no limits for Fuchsia' }, 'C')).toBe(
      'No thermal time is counted: no limits for Fuchsia.',
    );
  });
});

test('losses are listed by cause', () => {
  expect(
    lossWords([
      { cause: 'rot', n: 3 },
      { cause: 'pest', n: 1 },
    ]),
  ).toBe('3 rot, 1 pest');
});
