import { expect, test } from 'vitest';
import { comparedWithOpenData } from './open-data.ts';

// [CANDANEDO16]: the publisher computed the ratio from the same temperature and humidity; 5e-5 is the difference
// between the saturation formula used there, which is not stated, and Hyland–Wexler.
test('4321 humidity ratios published with three days of a real room are met within 5e-5 of their size', () => {
  const line = comparedWithOpenData();
  expect(line.rows).toBe(4321);
  expect(line.worst).toBeLessThanOrEqual(5e-5);
});
