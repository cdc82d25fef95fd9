import type { ImportReport } from '../../../shared/wire/exchange.ts';

/** A report as a person reads it, line by line. */
export function reportLines(report: ImportReport, { file }: { file: string }): string[] {
  const { mapping, mappingText, undecided, notes, dryRun } = report;
  const columns = mapping
    ? [
        `  time: ${mapping.time.columns.join(' + ')}, ${timeWords(mapping.time.format)}`,
        ...mapping.columns.map(({ column, probe, unit }) => `  ${column} → ${probe}${unit && ` (${unit})`}`),
        ...(mapping.decimal === ',' ? ['  decimals follow a comma'] : []),
        `  the same as: --map "${mappingText}"`,
      ]
    : [];
  const open = undecided.length > 0 ? openLines(report) : [];
  return [
    `${file} as "${report.device}": ${dryRun ? 'a dry run, nothing is stored' : 'stored'}`,
    ...columns,
    ...notes.map((each) => `  note: ${each}`),
    ...open,
    ...(undecided.length > 0 ? [] : countLines(report)),
  ];
}

function openLines({ undecided, mappingText }: ImportReport): string[] {
  return [
    'Nothing was read yet. Say first:',
    ...undecided.map((each) => `  ${each}`),
    ...(mappingText === '' ? [] : [`Start from: --map "${mappingText}"`]),
  ];
}

function countLines(report: ImportReport): string[] {
  const { rows, readings, stored, repeats, conflicts, bad, from, to, dryRun, newPlace, probes } = report;
  return [
    `${rows} rows with ${readings} readings${from === null ? '' : `, ${from} to ${to}`}`,
    ...probes.map(({ probe, readings: n, isNew }) => `  ${probe}: ${n}${isNew ? ', a new probe' : ''}`),
    ...(newPlace === null ? [] : [`  ${dryRun ? 'would make' : 'made'} the place "${newPlace}"`]),
    `${dryRun ? 'would store' : 'stored'} ${stored}; ${repeats} are stored already; ${conflicts} differ from what is stored, which stays`,
    ...repeatedLines(report),
    ...(bad.count === 0 ? [] : [`${bad.count} bad rows, of which nothing is stored:`]),
    ...bad.listed.map(({ line, reason }) => `  line ${line}: ${reason}`),
    ...(bad.count > bad.listed.length ? [`  and ${bad.count - bad.listed.length} more`] : []),
  ];
}

function repeatedLines({ repeatedHour: { rows, lines, taken } }: ImportReport): string[] {
  if (rows === 0) return [];
  const more = rows > lines.length ? ` and ${rows - lines.length} more` : '';
  const where = `lines ${lines.join(', ')}${more}`;
  if (taken !== null)
    return [`${rows} rows lie in an hour that a clock change repeats, taken as "${taken}": ${where}`];
  return [
    `${rows} rows lie in an hour that a clock change repeats: ${where}`,
    '  say which is meant: --repeated-hour first, second, or split-by-order',
  ];
}

function timeWords(format: NonNullable<ImportReport['mapping']>['time']['format']): string {
  if (format.kind === 'rfc3339') return 'with its offset (RFC 3339)';
  if (format.kind === 'epoch') return `${format.unit} since 1970`;
  const order = { ymd: 'year first', dmy: 'day first', mdy: 'month first' }[format.order];
  return `by the wall clock of ${format.zone}, ${order}`;
}
