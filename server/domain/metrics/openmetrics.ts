/*
 * The text exposition format of OpenMetrics 1.0.0, as far as it is used here: gauges, counters and infos.
 * @source [OPENMETRICS] section 3
 */

export const OPENMETRICS_TYPE = 'application/openmetrics-text; version=1.0.0; charset=utf-8';

type Labels = Readonly<Record<string, string>>;

export type Sample = { readonly labels?: Labels; readonly value: number };

/** One family of metrics; a name with a unit ends in it. */
export type Family = {
  readonly name: string;
  readonly type: 'gauge' | 'counter' | 'info';
  readonly unit?: string;
  readonly help: string;
  readonly samples: readonly Sample[];
};

const SUFFIX: Readonly<Record<Family['type'], string>> = { gauge: '', counter: '_total', info: '_info' };

/**
 * Families as a scraper reads them, each with its samples together, ended by `# EOF`.
 * @param families names without the suffix of their type; samples that are not finite are left out, as nothing is known
 * @example openMetricsText([]) // '# EOF\n'
 */
export function openMetricsText(families: readonly Family[]): string {
  return `${families.flatMap(linesOf).join('')}# EOF\n`;
}

function linesOf({ name, type, unit, help, samples }: Family): string[] {
  const known = samples.filter(({ value }) => Number.isFinite(value));
  return [
    `# TYPE ${name} ${type}\n`,
    ...(unit === undefined ? [] : [`# UNIT ${name} ${unit}\n`]),
    `# HELP ${name} ${escaped(help)}\n`,
    ...known.map(({ labels = {}, value }) => `${name}${SUFFIX[type]}${labelText(labels)} ${value}\n`),
  ];
}

function labelText(labels: Labels): string {
  const pairs = Object.entries(labels).map(([label, value]) => `${label}="${escaped(value)}"`);
  return pairs.length === 0 ? '' : `{${pairs.join(',')}}`;
}

function escaped(text: string): string {
  return text.replaceAll('\\', '\\\\').replaceAll('"', '\\"').replaceAll('\n', '\\n');
}
