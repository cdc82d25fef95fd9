/**
 * Where a text breaks the exposition format of OpenMetrics 1.0.0, as far as gauges, counters, histograms and infos go: its ABNF
 * (section 3.1) line by line, and the rules of sections 4.2 to 5.3 on names, units, suffixes, order and repeats.
 *
 * @source OpenMetrics 1.0.0 (specification, recalled)
 * @param text as a scraper reads it
 * @returns one line a fault; none: it is valid
 */
export function grammarFaults(text: string): string[] {
  if (!text.endsWith('# EOF\n')) return ['it does not end with # EOF and a line feed'];
  const lines = text.slice(0, -'# EOF\n'.length).split('\n').slice(0, -1);
  const faults: string[] = [];
  const types = new Map<string, string>();
  const series = new Set<string>();
  let family = '';
  for (const line of lines) {
    const about = META.exec(line)?.groups;
    const sample = SAMPLE.exec(line)?.groups;
    if (about) {
      const { keyword = '', name = '', rest = '' } = about;
      if (name !== family && types.has(name)) faults.push(`${name} comes in two parts`);
      family = name;
      faults.push(...metaFaults({ keyword, name, rest }));
      if (keyword === 'TYPE') types.set(name, rest);
      else if (!types.has(name)) types.set(name, 'unknown');
    } else if (sample) {
      const { name = '', labels = '', value = '' } = sample;
      const suffixes = SUFFIXES[types.get(family) ?? ''] ?? [''];
      if (!suffixes.some((suffix) => name === family + suffix))
        faults.push(`${name} follows the metadata of ${family}; expected it with ${suffixes.join(' or ')}`);
      if (types.get(family) === 'counter' && Number(value) < 0) faults.push(`${name} is negative`);
      if (types.get(family) === 'info' && value !== '1') faults.push(`${name} is not 1`);
      if (series.has(name + labels)) faults.push(`${name}${labels} comes twice`);
      series.add(name + labels);
    } else faults.push(`this is no line of the format: ${line}`);
  }
  return faults;
}

const NAME = '[a-zA-Z_:][a-zA-Z0-9_:]*';
const LABEL = String.raw`[a-zA-Z_][a-zA-Z0-9_]*="(?:[^"\\\n]|\\[\\"n])*"`;
const NUMBER = String.raw`[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?|[-+]?Inf(?:inity)?|NaN`;
const META = new RegExp(`^# (?<keyword>TYPE|UNIT|HELP) (?<name>${NAME}) (?<rest>.*)$`);
const SAMPLE = new RegExp(
  `^(?<name>${NAME})(?<labels>\\{(?:${LABEL}(?:,${LABEL})*)?\\})? (?<value>${NUMBER})(?: ${NUMBER})?$`,
);
const SUFFIXES: Readonly<Record<string, readonly string[]>> = {
  counter: ['_total'],
  info: ['_info'],
  gauge: [''],
  unknown: [''],
  histogram: ['_bucket', '_sum', '_count'],
};

function metaFaults({ keyword, name, rest }: Record<'keyword' | 'name' | 'rest', string>): string[] {
  if (keyword === 'TYPE' && !Object.keys(SUFFIXES).includes(rest)) return [`${name} is of the type ${rest}`];
  if (keyword === 'UNIT' && !name.endsWith(`_${rest}`)) return [`${name} does not end in its unit ${rest}`];
  if (keyword === 'HELP' && !/^(?:[^"\\]|\\[\\"n])*$/.test(rest))
    return [`the help of ${name} is not escaped`];
  return [];
}
