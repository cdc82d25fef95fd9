import { expect, test } from 'vitest';
import {
  batchDetailsOf,
  daysBetween,
  localDay,
  stepsOf,
} from '../../../../../server/domain/batches/preparation.ts';
import { NO_PREPARATION_DETAILS } from '../../../../../shared/model/cuttings/preparation.ts';

test.each([
  ['2026-03-01', 1, '2026-02-28'],
  ['2028-03-01', 1, '2028-02-29'],
  // over the change of the clock in Europe, 29 March 2026
  ['2026-04-05', 14, '2026-03-22'],
  ['2026-01-05', 112, '2025-09-15'],
  ['2026-06-15', 0, '2026-06-15'],
])('%s less %i days is %s', (day, days, before) => {
  const steps = [{ id: 'nitrogen', name: null, daysBefore: days, doneMs: null }];
  expect(stepsOf({ stickOn: day, steps }, day)[0]?.due).toBe(before);
  expect(daysBetween(before, day)).toBe(days);
});

test('the day is that of the local clock', () => {
  const evening = Date.UTC(2026, 5, 1, 20);
  expect(localDay(evening, 'UTC')).toBe('2026-06-01');
  expect(localDay(evening, 'Asia/Tokyo')).toBe('2026-06-02');
});

test('a step is ahead the day before it is due, due on its day, late the day after, and done once ticked', () => {
  const steps = [{ id: 'nitrogen', name: null, daysBefore: 14, doneMs: null }];
  const state = (today: string, doneMs: number | null = null) =>
    stepsOf({ stickOn: '2026-06-15', steps: steps.map((one) => ({ ...one, doneMs })) }, today)[0]?.state;
  expect([state('2026-05-31'), state('2026-06-01'), state('2026-06-02'), state('2026-06-02', 5)]).toEqual([
    'ahead',
    'due',
    'late',
    'done',
  ]);
});

test('medium and note of the batch say no more than was noted', () => {
  const body = { crop: 'Lilac', stickOn: '2026-06-15', ...NO_PREPARATION_DETAILS, steps: [] };
  expect(batchDetailsOf(body)).toMatchObject({ medium: null, note: null, hormone: null });
  expect(batchDetailsOf({ ...body, mediumSterile: true })).toMatchObject({ medium: 'sterile' });
  expect(batchDetailsOf({ ...body, note: 'n'.repeat(2_000), permission: 'p' }).note).toHaveLength(2_000);
});
