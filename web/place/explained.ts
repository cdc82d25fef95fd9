import type { Explanation } from '../../shared/wire/http.ts';
import { duration, type Reader } from '../../shared/words/alarm.ts';
import {
  countText,
  fixed,
  readingDifference,
  readingTemperature,
  type TemperatureUnit,
} from '../common/format.ts';
import type { View } from '../common/plot.ts';
import { momentWords } from '../common/time.ts';

/** A number somebody asks about: `of` as the daemon names it, `span` for what is counted over one. */
export type Question = {
  readonly placeId: string;
  readonly of: string;
  readonly span: View | null;
  /** what the number is of, besides its name, such as a date */
  readonly about?: string;
};

type Kind = 'temperature' | 'difference' | 'plain' | 'minutes';
type Manner = { readonly kind: Kind; readonly decimals: number };

const MANNERS: Readonly<Record<string, Manner>> = {
  '°C': { kind: 'temperature', decimals: 1 },
  K: { kind: 'difference', decimals: 1 },
  '°C·h': { kind: 'difference', decimals: 1 },
  K·h: { kind: 'difference', decimals: 1 },
  kPa: { kind: 'plain', decimals: 2 },
  kPa·h: { kind: 'plain', decimals: 2 },
  'µmol m⁻² s⁻¹': { kind: 'plain', decimals: 0 },
  lx: { kind: 'plain', decimals: 0 },
  min: { kind: 'minutes', decimals: 0 },
  // a count
  '': { kind: 'plain', decimals: 0 },
};
const USUAL: Manner = { kind: 'plain', decimals: 1 };
const INPUT_DECIMALS = 3;
const MS_PER_MINUTE = 60_000;
const NO_BREAK = '\u00a0';

const GROUPS: Readonly<Record<string, string>> = {
  rootZone: 'root zone',
  air: 'air',
  vpd: 'air VPD',
  leafVpd: 'leaf VPD',
  daylightVpd: 'air VPD in daylight',
  saturation: 'humidity',
  light: 'light',
  rootMinusAir: 'root zone minus air',
  condensation: 'coldest watched surface',
  wetHours: 'wet hours',
  mist: 'mist',
  vents: 'vents',
  thermalTime: 'root zone',
};

const mannerOf = (unitText: string): Manner => MANNERS[unitText] ?? USUAL;

function readingValue(value: number, kind: Kind, unit: TemperatureUnit): number {
  if (kind === 'temperature') return readingTemperature(value, unit);
  return kind === 'difference' ? readingDifference(value, unit) : value;
}

function readingUnit(unitText: string, unit: TemperatureUnit): string {
  return unit === 'C' ? unitText : unitText.replace(/^(°C|K)(?=$|·)/, '°F');
}

function withUnit(number: string, unitText: string, unit: TemperatureUnit): string {
  return unitText === '' ? number : `${number}${NO_BREAK}${readingUnit(unitText, unit)}`;
}

/**
 * A number of an explanation as the page writes it: temperatures and their differences in the unit for reading,
 * °C·h and K·h as °F·h, minutes as a duration, decimals as sure as the probes are.
 */
function explainedValue(value: number, unitText: string, unit: TemperatureUnit): string {
  const { kind, decimals } = mannerOf(unitText);
  if (kind === 'minutes') return duration(value * MS_PER_MINUTE);
  const read = readingValue(value, kind, unit);
  return withUnit(decimals === 0 ? countText(read) : fixed(read, decimals), unitText, unit);
}

/** Temperatures in °C and differences in K inside a sentence, in the unit for reading. */
function readersText(text: string, unit: TemperatureUnit): string {
  if (unit === 'C') return text;
  const degrees = (number: string) => fixed(readingTemperature(Number(number), unit), 1);
  return text
    .replace(
      /(-?\d+(?:\.\d+)?) to (-?\d+(?:\.\d+)?) °C(?!·)/g,
      (_, low, high) => `${degrees(low)} to ${degrees(high)} °F`,
    )
    .replace(/(-?\d+(?:\.\d+)?) °C(?!·)/g, (_, value) => `${degrees(value)} °F`)
    .replace(
      /(-?\d+(?:\.\d+)?) K\b(?!·)/g,
      (_, value) => `${fixed(readingDifference(Number(value), unit), 1)} °F`,
    );
}

function inputText(value: number | string, unitText: string, unit: TemperatureUnit): string {
  if (typeof value === 'string') return readersText(withUnit(value, unitText, 'C'), unit);
  const { kind } = mannerOf(unitText);
  if (kind === 'minutes') return duration(value * MS_PER_MINUTE);
  const read = Number(readingValue(value, kind, unit).toFixed(INPUT_DECIMALS));
  return withUnit(Math.abs(read) >= 1e4 ? countText(read) : String(read).replace('-', '−'), unitText, unit);
}

/** The range the sensors leave open, with its reason; of a deficit also how large a part of it that is. */
function errorText({ errorRange, value, unit: unitText }: Explanation, unit: TemperatureUnit): string | null {
  if (!errorRange) return null;
  const { kind, decimals } = mannerOf(unitText);
  const number = (edge: number) => fixed(readingValue(edge, kind, unit), decimals);
  const range = `${number(errorRange.low)} to ${withUnit(number(errorRange.high), unitText, unit)}`;
  const share = value ? (50 * (errorRange.high - errorRange.low)) / Math.abs(value) : 0;
  const part = unitText === 'kPa' && share > 0 ? `, ±${fixed(share, 0)}${NO_BREAK}% of it` : '';
  return `${range}${part}: ${readersText(errorRange.because, unit)}`;
}

type ExplainedRow = {
  readonly name: string;
  readonly value: string;
  readonly probe: string;
  readonly when: string;
};
export type ExplainedView = {
  readonly name: string;
  readonly value: string;
  readonly group: string | null;
  readonly formula: string;
  readonly rows: readonly ExplainedRow[];
  readonly coverage: string | null;
  readonly error: string | null;
  readonly assumptions: readonly string[];
  readonly source: { readonly key: string; readonly text: string };
};

/** Everything the dialog of a number says, in words. */
export function explainedView(explanation: Explanation, reader: Reader): ExplainedView {
  const { unit } = reader;
  const { value, coverage } = explanation;
  const rows = explanation.inputs.map((input) => {
    const atMs = input.at === null ? null : Date.parse(input.at);
    const age = atMs === null ? '' : `, ${duration(Math.max(0, reader.nowMs - atMs))} ago`;
    return {
      name: input.name,
      value: inputText(input.value, input.unit, unit),
      probe: input.probe ?? '',
      when: atMs === null ? '' : `${momentWords({ atMs, ...reader })}${age}`,
    };
  });
  return {
    name: explanation.name,
    value: value === null ? 'not known' : explainedValue(value, explanation.unit, unit),
    group: GROUPS[explanation.of.replace(/^exposures\./, '').split('.')[0] ?? ''] ?? null,
    formula: explanation.formula,
    rows,
    coverage:
      coverage &&
      `${fixed(coverage.coveredHours, 1)} of ${fixed(coverage.ofHours, 1)}${NO_BREAK}h asked about are on record`,
    error: errorText(explanation, unit),
    assumptions: explanation.assumptions.map((text) => readersText(text, unit)),
    // titles stand between underscores in the list of sources
    source: { ...explanation.source, text: explanation.source.text.replace(/_([^_]+)_/g, '$1') },
  };
}
