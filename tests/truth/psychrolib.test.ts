import { expect, test } from 'vitest';
import { comparedWithPsychrolib } from './psychrolib.ts';

const lines = comparedWithPsychrolib();

test('10 comparisons with psychrolib cover over 190 000 values', () => {
  expect(lines).toHaveLength(10);
  expect(lines.reduce((sum, line) => sum + line.rows, 0)).toBeGreaterThan(190_000);
  for (const line of lines) expect(line.rows, line.quantity).toBeGreaterThan(1000);
});

test.each(lines)('$quantity: worst of $rows values is within $tolerance $unit of psychrolib', (line) => {
  expect(line.worst).toBeLessThanOrEqual(line.tolerance);
});
