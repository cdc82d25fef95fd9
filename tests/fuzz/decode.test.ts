import { expect, test } from 'vitest';
import { outcomesOf } from './packs.ts';

const MUTANTS = 50_000;
const SEED = 20_260_304;

test(`${MUTANTS} damaged packs never throw, are refused for a listed fault, or give sound readings`, () => {
  const seen = outcomesOf({ count: MUTANTS, seed: SEED });
  expect([...seen.values()].reduce((sum, count) => sum + count, 0)).toBe(MUTANTS);
  // The damage must reach past the JSON parser, or nothing above was tested.
  expect(seen.get('accepted')).toBeGreaterThan(2_500);
  expect(seen.size).toBeGreaterThan(14);
});
