import type { ReportLine } from './line.ts';
import { truthReport } from './report.ts';

const head = ['quantity', 'rows', 'worst error', 'tolerance', 'unit', 'source'];
const cells = (line: ReportLine) => [
  line.quantity,
  String(line.rows),
  line.worst.toExponential(1),
  line.tolerance.toExponential(1),
  line.unit,
  line.source,
];

const table = [head, ...truthReport().map(cells)];
const widths = head.map((_, column) => Math.max(...table.map((row) => row[column]?.length ?? 0)));
for (const row of table)
  process.stdout.write(
    `${row
      .map((cell, column) => cell.padEnd(widths[column] ?? 0))
      .join('  ')
      .trimEnd()}\n`,
  );
