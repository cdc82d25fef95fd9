import { Fault } from '../../../shared/faults.ts';
import type { ExplainedInput, Explanation, Exposures } from '../../../shared/wire/http.ts';
import { curveOf } from '../exposures/curves.ts';
import { bandOf } from '../exposures/exposures.ts';
import type { ExposureQuestion } from '../exposures/question.ts';
import { EXPOSURE_FORMULAS } from './formulas.ts';

export type ExposureToExplain = {
  /** path of the number in the exposures, such as `rootZone.degreeHoursBelow` or `light.days.0.dliMolM2` */
  readonly path: string;
  readonly exposures: Exposures;
  readonly question: ExposureQuestion;
  readonly sourceText: (key: string) => string;
};

/**
 * Where an exposure comes from: how it is counted, from how many readings, against which limits.
 * @throws Fault `not-found` when the path names no number of the exposures
 */
export function explainExposure(asked: ExposureToExplain): Explanation {
  const { path, exposures, question } = asked;
  const parts = path.split('.');
  const field = parts.at(-1) ?? '';
  const about = Object.hasOwn(EXPOSURE_FORMULAS, field) ? EXPOSURE_FORMULAS[field] : undefined;
  const value = valueAt(exposures, parts);
  if (!about || value === undefined) {
    const message = `There is no number "exposures.${path}" to explain.`;
    throw new Fault({ code: 'not-found', message, details: { of: `exposures.${path}` } });
  }
  const group = parts.slice(0, -1);
  const coveredHours = valueAt(exposures, [...group, 'coveredHours']);
  return {
    of: `exposures.${path}`,
    name: about.name,
    value,
    unit: about.unit,
    formula: about.formula,
    source: { key: about.source, text: asked.sourceText(about.source) },
    inputs: [...readingCounts(question, group[0] ?? ''), ...limitsOf(question, group[0] ?? '')],
    coverage:
      typeof coveredHours === 'number'
        ? { coveredHours, ofHours: (question.toMs - question.fromMs) / 3_600_000 }
        : null,
    errorRange: null,
    assumptions: assumptionsOf(exposures, group[0] ?? '', question),
  };
}

function valueAt(exposures: Exposures, parts: readonly string[]): number | null | undefined {
  let found: unknown = exposures;
  for (const part of parts) {
    if (typeof found !== 'object' || found === null || !Object.hasOwn(found, part)) return undefined;
    found = (found as Record<string, unknown>)[part];
  }
  return typeof found === 'number' || found === null ? found : undefined;
}

const CURVE_OF = {
  rootZone: 'rootZoneTemperatureC',
  air: 'airTemperatureC',
  vpd: 'airVpdKpa',
  daylightVpd: 'airVpdKpa',
  leafVpd: 'leafVpdKpa',
  saturation: 'relativeHumidityPct',
  light: 'ppfdUmolM2S',
} as const;

function readingCounts(question: ExposureQuestion, group: string): ExplainedInput[] {
  if (!Object.hasOwn(CURVE_OF, group)) return [];
  const { knots } = curveOf(CURVE_OF[group as keyof typeof CURVE_OF], question);
  let count = 0;
  for (let k = 0; k < knots.count; k++) {
    const tMs = knots.timesMs[k] as number;
    if (tMs >= question.fromMs && tMs < question.toMs) count++;
  }
  return [{ name: 'Stored moments in the span', value: count, unit: '', at: null, probe: null }];
}

function limitsOf(question: ExposureQuestion, group: string): ExplainedInput[] {
  const seen = new Set<string>();
  for (const span of question.spans) {
    const half = span.night ? 'night' : 'day';
    if (group === 'rootZone' || group === 'air') {
      const { lowC, highC } = bandOf(span, group);
      seen.add(`${half} ${lowC} to ${highC} °C`);
    }
    if (group === 'air') seen.add(`ceiling ${span.targets.air.ceilingC} °C`);
    if (group === 'vpd') seen.add(`${span.targets.vpd.lowKpa} to ${span.targets.vpd.highKpa} kPa`);
    if (group === 'saturation') seen.add(`from ${span.targets.saturation.relativeHumidityPct} %RH`);
  }
  return [...seen].map((value) => ({ name: 'Limit in force', value, unit: '', at: null, probe: null }));
}

function assumptionsOf(
  exposures: Exposures,
  group: string,
  { settings, records }: ExposureQuestion,
): string[] {
  const gapMin = settings.maxGapMs / 60_000;
  const assumptions = [`straight between readings at most ${gapMin} min apart; a longer gap is not covered`];
  if (group === 'leafVpd' && exposures.leafVpd.assumedOffsetK !== null) {
    assumptions.push(
      `no leaf probe: the leaf is assumed ${exposures.leafVpd.assumedOffsetK} K warmer than the air`,
    );
  }
  if (group === 'light' && !records['light/ppfd']) {
    assumptions.push(`estimated from illuminance as ${settings.lightSource}`);
  }
  if (group === 'condensation' && exposures.condensation.surface === 'outside') {
    assumptions.push('no wall probe: the outside air stands in for the coldest surface');
  }
  return assumptions;
}
