import type { ReportLine } from './line.ts';
import { comparedWithOpenData } from './open-data.ts';
import { comparedWithPsychrolib } from './psychrolib.ts';
import { type Evaluated, evaluatePublishedRows } from './published.ts';

/** Every comparison with the outside: published rows, psychrolib on a grid, and a published record. */
export function truthReport(): ReportLine[] {
  return [...publishedReport(evaluatePublishedRows()), ...comparedWithPsychrolib(), comparedWithOpenData()];
}

/** One line a quantity and unit: the row nearest to its tolerance. */
export function publishedReport(evaluated: readonly Evaluated[]): ReportLine[] {
  const groups = Map.groupBy(evaluated, ({ row }) => `${plainName(row.quantity)}, ${row.unit}`);
  return [...groups.values()].flatMap((group) => {
    const nearest = group.toSorted((a, b) => b.error / b.tolerance - a.error / a.tolerance)[0];
    if (nearest === undefined) return [];
    const { row, error, tolerance } = nearest;
    return {
      kind: 'published rows' as const,
      quantity: plainName(row.quantity),
      rows: group.length,
      read: group.filter((one) => one.row.seen_class === 'seen').length,
      recalled: group.filter((one) => one.row.seen_class === 'memory').length,
      worst: error,
      tolerance,
      unit: row.unit,
      source: row.seen_class === 'memory' ? `${row.source} (from memory)` : row.source,
    };
  });
}

/** The lamp, or the kind of leaf, after the comma is not another quantity. */
const plainName = (quantity: string) => quantity.replace(/, .*/, '');
