import { expect, test } from 'vitest';
import { isUnusual } from '../../../../../server/domain/forecast/forecast.ts';
import { historyOf } from '../../../../truth/skill/house.ts';
import { learnedAtOnce } from '../../../../truth/skill/score.ts';

test('a root zone held within 0.3 K is unusual once its mat died and it is 6 K colder, not 1 K', () => {
  const values = Float64Array.from({ length: 6 * 144 }, (_, n) => 26.5 + 0.2 * Math.sin(n / 3));
  const learned = learnedAtOnce({ startMs: 0, values, drivers: [] });
  if (learned === null) throw new Error('nothing was learned');
  expect(isUnusual(learned, 20)).toBe(true);
  expect(isUnusual(learned, 25.5)).toBe(false);
});

test('no reading of the north wall in its last days was unusual after the 20 days before', () => {
  const history = historyOf('north wall', { from: 0, to: 25 });
  const part = { ...history, values: history.values.slice(0, 20 * 144), drivers: [] };
  const learned = learnedAtOnce(part);
  if (learned === null) throw new Error('nothing was learned');
  expect([...history.values.slice(20 * 144)].filter((value) => isUnusual(learned, value))).toEqual([]);
});
