import { HARM_KINDS, HARM_SCALE, type HarmKind } from '../../../shared/harm/scale.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import { harmLimitAt } from '../../../shared/rules/harm.ts';
import type { Explanation, Exposures } from '../../../shared/wire/http.ts';
import { countedReadings, type ExposureToExplain, given } from './parts.ts';

const MADE_FROM: Readonly<Record<HarmKind, readonly ProbeQuantityName[]>> = {
  'air-over-ceiling': ['air/temperature'],
  'root-zone-over-ceiling': ['root/temperature'],
  'air-far-too-cold': ['air/temperature'],
  'vpd-above-band': ['air/temperature', 'air/humidity'],
  'root-zone-below-band': ['root/temperature'],
  'air-below-band': ['air/temperature'],
};

/** The group of exposures that covers the same time. */
export const COVERED_AS = {
  'air-over-ceiling': 'air',
  'root-zone-over-ceiling': 'rootZone',
  'air-far-too-cold': 'air',
  'vpd-above-band': 'daylightVpd',
  'root-zone-below-band': 'rootZone',
  'air-below-band': 'air',
} as const satisfies Record<HarmKind, keyof Exposures>;

/** The kind of harm of that name, if it is one. */
export function harmKindOf(name: string): HarmKind | null {
  return HARM_KINDS.find((kind) => kind === name) ?? null;
}

/**
 * Where the harm of one kind comes from: its formula with its constants, its limits, and how well they are known.
 * @param ofHours hours that could have been covered
 */
export function explainHarm(
  kind: HarmKind,
  { exposures, question, sourceText }: Omit<ExposureToExplain, 'path'>,
  ofHours: number,
): Explanation {
  const { name, formula, unit, known, basis } = HARM_SCALE[kind];
  const inForce = question.spans.flatMap((span) => harmLimitAt(kind, span) ?? []);
  const limits = new Set(inForce.map(({ limit }) => limit.toString()));
  const bySheet = inForce.some(({ constants }) => constants !== undefined);
  const ofEach = inForce.map((one) => one.constants ?? HARM_SCALE[kind]);
  const constants = ofEach.length === 0 ? [HARM_SCALE[kind]] : ofEach;
  const each = (of: 'tolerableHours' | 'step') =>
    [...new Set(constants.map((one) => String(one[of])))].join(', ');
  return {
    of: `exposures.harm.${kind}`,
    name: `harm: ${name}`,
    value: exposures.harm?.[kind] ?? null,
    unit: '1',
    formula: `∫ rate dt, rate = ${formula}, x = how far beyond the limit`,
    source: { key: 'HARM', text: sourceText('HARM') },
    inputs: [
      ...countedReadings(MADE_FROM[kind], { records: question.records, window: question }),
      ...[...limits].map((limit) => given('Limit in force', limit, unit === 'K' ? '°C' : 'kPa')),
      given('Tolerable time', each('tolerableHours'), 'h'),
      given('Step', each('step'), unit),
    ],
    coverage: { coveredHours: exposures[COVERED_AS[kind]].coveredHours, ofHours },
    errorRange: null,
    assumptions: [
      bySheet
        ? 'the constants are those of the target sheet'
        : `how well the constants are known: ${known}. ${basis}`,
    ],
  };
}
