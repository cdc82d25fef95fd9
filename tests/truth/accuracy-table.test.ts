import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { accuracyTable, committedTable, quantitiesOf, roundedUp } from './accuracy-table.ts';
import { truthReport } from './report.ts';

const report = truthReport();

describe('the accuracy table of DEVELOPERS.md', () => {
  test('is what npm run truth makes of the 20 quantities today', () => {
    const guide = readFileSync(new URL('../../DEVELOPERS.md', import.meta.url), 'utf8');
    expect(committedTable(guide)).toBe(accuracyTable(report));
    expect(committedTable(guide).split('\n')).toHaveLength(2 + 20);
  });

  test('counts each of 50 or more comparisons once', () => {
    expect(report.length).toBeGreaterThanOrEqual(50);
    for (const line of report) expect(quantitiesOf(line), line.quantity).toHaveLength(1);
  });

  test.each(report)('$quantity, $unit: the worst of $rows is within $tolerance', (line) => {
    expect(line.worst).toBeLessThanOrEqual(line.tolerance);
  });

  test.each([
    [0.00411, '0.0042'],
    [0.0041, '0.0041'],
    [1.18, '1.2'],
    [0.0996, '0.1'],
    [123.4, '130'],
    [9e-8, 'under 0.0000001'],
    [0, 'under 0.0000001'],
  ])('%d is printed as %s, never below itself', (value, printed) => {
    expect(roundedUp(value)).toBe(printed);
  });

  test('a text without its 2 markers is refused', () => {
    expect(() => committedTable('# Strikewell')).toThrow('lacks <!-- accuracy');
  });
});
