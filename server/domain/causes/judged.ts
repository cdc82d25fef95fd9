import type { AlarmCause } from '../../../shared/model/alarms/alarm.ts';
import type { AlarmRule } from '../../../shared/rules/ids.ts';
import type { ExcursionKind } from '../../../shared/wire/places/night.ts';
import type { Verdict } from './causes.ts';
import type { Cause } from './hypotheses.ts';

/** Why an alarm is active, as it was judged last. */
export type JudgedCause = {
  /** the raising it is about, ms since epoch */
  readonly raisedAtMs: number | null;
  /** judged once ten minutes after its limit was crossed were over */
  readonly isFinal: boolean;
  readonly cause: AlarmCause;
};

/** What may have brought a place beyond each limit. */
export const CAUSES_OF_KIND: Readonly<Record<ExcursionKind, readonly Cause[]>> = {
  'air-over-ceiling': ['sun-on-cover', 'sun-on-sensor', 'hot-room'],
  'air-above-band': ['sun-on-cover', 'sun-on-sensor', 'hot-room'],
  'air-below-band': ['vent-open', 'heater-out', 'power-cut', 'mist-stuck'],
  'air-far-too-cold': ['vent-open', 'heater-out', 'power-cut'],
  'root-zone-over-ceiling': ['mat-runaway', 'sun-on-cover', 'hot-room'],
  'root-zone-above-band': ['mat-runaway', 'sun-on-cover', 'hot-room'],
  'root-zone-below-band': ['mat-off', 'probe-out', 'cold-mist-water', 'heater-out', 'power-cut'],
  'vpd-above-band': ['vent-open', 'mist-stopped', 'water-off', 'sun-on-cover', 'sun-on-sensor'],
  saturated: ['mist-stuck', 'wet-probe'],
  'no-mist': ['mist-stopped', 'water-off'],
  'no-data': ['power-cut'],
};

/** The kind of excursion whose causes come into question; rules that name their cause themselves have none. */
const KIND_OF_RULE: Readonly<Partial<Record<AlarmRule, ExcursionKind>>> = {
  'air-over-ceiling': 'air-over-ceiling',
  'air-far-over-ceiling': 'air-over-ceiling',
  'air-below-band-at-night': 'air-below-band',
  'air-below-band-by-day': 'air-below-band',
  'air-far-too-cold': 'air-far-too-cold',
  'root-too-hot': 'root-zone-over-ceiling',
  'root-below-band': 'root-zone-below-band',
  'root-zone-far-too-cold': 'root-zone-below-band',
  'root-falling-towards-air': 'root-zone-below-band',
  'vpd-above-band-in-light': 'vpd-above-band',
  'no-mist-in-light': 'no-mist',
  'saturated-too-long': 'saturated',
};

/** Causes that come into question for an alarm; null where its rule has none that could be told apart. */
export function causesOfRule(rule: AlarmRule): readonly Cause[] | null {
  const kind = KIND_OF_RULE[rule];
  return kind === undefined ? null : CAUSES_OF_KIND[kind];
}

/** A hypothesis that scores less is not worth a word. */
const LEAST_WORTH = 0.3;

/**
 * A verdict in words: the likely cause with what would make sure of it, or that it is not known and what it may be.
 * @param isFinal false before ten minutes are over: then only what is beyond doubt is said
 * @example causeInWords({ likely: null, isConfident: false, hypotheses: [] }, { isFinal: true }).sentence // 'Cause not known.'
 */
export function causeInWords(
  { likely, isConfident, hypotheses }: Verdict,
  { isFinal }: { readonly isFinal: boolean },
): AlarmCause {
  if (likely && (isFinal || isConfident)) {
    const { cause, sentence, toBeSure, evidence, score } = likely;
    const said = `Likely ${sentence}. To be sure: ${toBeSure}.`;
    return { key: cause, sentence: said, evidence: [...evidence], confidence: score };
  }
  const worth = hypotheses.filter(({ score }) => score >= LEAST_WORTH).slice(0, 2);
  const [first] = worth;
  const may = first
    ? ` It may be that ${worth.map(({ sentence }) => sentence).join(', or that ')}. To be sure: ${first.toBeSure}.`
    : '';
  const sentence = isFinal ? `Cause not known.${may}` : 'Cause not known yet.';
  return { key: null, sentence, evidence: [], confidence: 0 };
}
