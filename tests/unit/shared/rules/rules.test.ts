import { expect, test } from 'vitest';
import { RULES } from '../../../../shared/rules/rules.ts';

test('no action asks for "the cover" of a place that may have none, such as an open mist bench', () => {
  const actions = Object.values(RULES).map(({ id, action }) => `${id}: ${action}`);
  expect(actions.length).toBeGreaterThan(20);
  const sure = actions.filter((text) => /\b(open|close|lift) (the|its) cover\b/i.test(text));
  expect(sure).toEqual([]);
  expect(actions.filter((text) => /any cover/.test(text)).length).toBeGreaterThanOrEqual(4);
});
