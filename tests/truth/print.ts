import { confusionOf } from './causes/confusion.ts';
import { differences, WHY } from './differences.ts';
import type { ReportLine } from './line.ts';
import { truthReport } from './report.ts';

const write = (line: string) => process.stdout.write(`${line.trimEnd()}\n`);

function writeTable(table: readonly (readonly string[])[]): void {
  const columns = table[0] ?? [];
  const widths = columns.map((_, column) => Math.max(...table.map((row) => row[column]?.length ?? 0)));
  for (const row of table) write(row.map((cell, column) => cell.padEnd(widths[column] ?? 0)).join('  '));
}

const countOf = (rows: number) => (rows === 0 ? '' : String(rows));

const cells = (line: ReportLine) => [
  line.quantity,
  String(line.rows),
  countOf(line.read),
  countOf(line.recalled),
  line.worst.toExponential(1),
  line.tolerance.toExponential(1),
  line.unit,
  line.source,
];

/** "+0.47 %" */
const percent = (part: number) => `${part > 0 ? '+' : '−'}${Number((Math.abs(part) * 100).toPrecision(2))} %`;

const head = [
  'quantity',
  'rows',
  'from memory',
  'worst error',
  'tolerance',
  'unit',
  'source of the worst row',
];
writeTable([head, ...truthReport().map(cells)]);

write('\nWhere published formulations differ from the one used here:');
for (const [quantity, group] of Map.groupBy(differences(), (one) => one.quantity)) {
  write(`\n${quantity}`);
  writeTable(
    group.map(({ other, recalled, worst, at }) => [
      `  ${other}${recalled ? ' (from memory)' : ''}`,
      percent(worst),
      at,
    ]),
  );
  write(`  Why this one: ${WHY[quantity]}`);
}

const SEEDS = { eachCause: 60, firstSeed: 1 };
const { scenes, right, notKnown, confidentlyWrong, rows } = confusionOf(SEEDS);
const share = (count: number) => `${((100 * count) / scenes).toFixed(1)} %`;
write(
  `\nCauses of ${scenes} made scenes, ${SEEDS.eachCause} each, seeds from ${SEEDS.firstSeed} on, 10 min after the limit:`,
);
writeTable([
  ['cause', 'given'],
  ...[...rows].map(([cause, given]) => [
    cause,
    [...given].map(([other, count]) => `${other} ${count}`).join(', '),
  ]),
]);
write(
  `right ${share(right)}, not known ${share(notKnown)}, another without a doubt ${share(confidentlyWrong)}`,
);
