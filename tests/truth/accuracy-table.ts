import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { ReportLine } from './line.ts';
import { truthReport } from './report.ts';

const GUIDE = new URL('../../DEVELOPERS.md', import.meta.url);
const START = '<!-- accuracy: made by npm run truth -->';
const END = '<!-- /accuracy -->';
/** Below this the last places of a double differ from machine to machine, and nobody can measure it. */
const LEAST_PRINTED = 1e-7;

/** Quantities as the table names them; each line of the report belongs to exactly one. */
const QUANTITIES: readonly (readonly [string, RegExp])[] = [
  ['Saturation pressure over water', /^(saturation (vapour )?pressure (over water|\(|at)|actual vapour)/],
  ['Saturation pressure over ice', /^saturation (vapour )?pressure over ice/],
  ['Slope of saturation', /^slope/],
  ['Vapour pressure', /^vapour pressure( from T and RH)?$/],
  ['Vapour pressure deficit of the air', /^(hourly )?vapour pressure deficit/],
  ['Vapour pressure deficit at the leaf', /^leaf-to-air/],
  ['Dew point', /^dew point/],
  ['Relative humidity from wet bulb', /^relative humidity/],
  ['Wet bulb', /(wet bulb)/],
  ['Humidity ratio', /^(saturation )?humidity ratio(?! from wet bulb)/],
  ['Absolute humidity', /absolute humidity/],
  ['Condensation margin', /^condensation margin/],
  ['Air pressure at an altitude', /^standard(-atmosphere)? pressure/],
  ['PPFD from lux', /^(PPFD from illuminance|lux per PPFD)/],
  ['PPFD from W/m²', /^PPFD from (PAR)/],
  ['Daily light integral', /^daily light integral/],
  ['Latent heat', /^(latent heat|equivalent evaporation)/],
  ['Leaf boundary layer', /^leaf boundary-layer/],
  ['Time for a leaf to dry', /^(time to evaporate|maximum liquid)/],
  ['Error carried from sensors', /^(VPD error|RH error|accuracy class)/],
];

/** The accuracy table of DEVELOPERS.md: per quantity the worst row against published values and against psychrolib. */
export function accuracyTable(report: readonly ReportLine[]): string {
  const head = ['quantity', 'check rows', 'worst error', 'psychrolib grid, room record', 'worst error'];
  const rows = QUANTITIES.map(([name, pattern]) => {
    const lines = report.filter(({ quantity }) => pattern.test(quantity));
    const published = lines.filter(({ kind }) => kind === 'published rows');
    const compared = lines.filter(({ kind }) => kind !== 'published rows');
    return [name, ...countAndWorst(published), ...countAndWorst(compared)];
  });
  return [head, head.map(() => '---'), ...rows].map((row) => `| ${row.join(' | ')} |`).join('\n');
}

/** The quantities a line of the report counts under. */
export function quantitiesOf(line: ReportLine): string[] {
  return QUANTITIES.filter(([, pattern]) => pattern.test(line.quantity)).map(([name]) => name);
}

/** What stands between the markers. */
export function committedTable(guide: string): string {
  const [start, end] = [guide.indexOf(START), guide.indexOf(END)];
  if (start < 0 || end < start) throw new Error(`the guide lacks ${START} and ${END}`);
  return guide.slice(start + START.length, end).trim();
}

/** Two significant digits, never below the value; tiny ones by their bound. */
export function roundedUp(value: number): string {
  if (value < LEAST_PRINTED) return `under ${LEAST_PRINTED.toFixed(7)}`;
  const step = 10 ** (Math.floor(Math.log10(value)) - 1);
  // A value that is two digits already must not be carried up by its binary tail.
  return String(Number((Math.ceil(value / step - 1e-6) * step).toPrecision(2)));
}

function countAndWorst(lines: readonly ReportLine[]): [string, string] {
  const nearest = lines.toSorted((a, b) => b.worst / b.tolerance - a.worst / a.tolerance)[0];
  if (nearest === undefined) return ['', ''];
  return [rowsOf(lines), worstOf(nearest)];
}

function rowsOf(lines: readonly ReportLine[]): string {
  const sumOf = (key: 'rows' | 'read' | 'recalled') => lines.reduce((sum, line) => sum + line[key], 0);
  const [rows, read, recalled] = [sumOf('rows'), sumOf('read'), sumOf('recalled')];
  if (lines.some(({ kind }) => kind !== 'published rows')) return String(rows);
  const parts = [
    { count: read, what: 'read' },
    { count: rows - read - recalled, what: 'worked out' },
    { count: recalled, what: 'from memory' },
  ];
  return parts
    .filter(({ count }) => count > 0)
    .map(({ count, what }) => `${count} ${what}`)
    .join(', ');
}

/** Relative errors are shown in per cent. */
function worstOf({ worst, tolerance, unit }: ReportLine): string {
  const factor = unit === 'relative' ? 100 : 1;
  const printed = roundedUp(worst * factor);
  const shown = unit === 'relative' ? '%' : typeset(unit);
  if (worst * factor < LEAST_PRINTED) return `${printed} ${shown}`;
  return `${printed} ${shown} (${Number((tolerance * factor).toPrecision(2))} allowed)`;
}

function typeset(unit: string): string {
  const superscript = (digits: string) => [...digits].map((digit) => '⁰¹²³⁴⁵⁶⁷⁸⁹'[Number(digit)]).join('');
  return unit
    .replace(/^%$/, '%RH')
    .replace('degC', '°C')
    .replace('umol', 'µmol')
    .replace('lux', 'lx')
    .replace('m3', 'm³')
    .replace(/-(\d)/g, (_, digit: string) => `⁻${superscript(digit)}`);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const table = accuracyTable(truthReport());
  if (process.argv.includes('--write')) {
    const guide = readFileSync(GUIDE, 'utf8');
    const written = guide.replace(
      `${START}\n${committedTable(guide)}\n${END}`,
      () => `${START}\n${table}\n${END}`,
    );
    writeFileSync(GUIDE, written);
  } else process.stdout.write(`${table}\n`);
}
