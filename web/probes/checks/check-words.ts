import { type Line, NO_CORRECTION } from '../../../shared/model/line.ts';
import type { CheckKind, CheckStep, Reference, TakenReading } from '../../../shared/model/probes/check.ts';
import type { Correction } from '../../../shared/model/probes/correction.ts';
import type { CheckView, Criterion, ProbeTruth, Steadiness } from '../../../shared/wire/probes/checks.ts';
import { duration } from '../../../shared/words/plain.ts';
import {
  degreeSign,
  fixed,
  readingDifference,
  readingTemperature,
  type TemperatureUnit,
} from '../../common/format.ts';

const NO_BREAK = '\u00a0';
const MINUTE_MS = 60_000;

/** How a probe's values are read: °C as the reader likes them, anything else in its own unit. */
export type Scale = {
  readonly quantity: string | null;
  readonly unitText: string;
  readonly unit: TemperatureUnit;
};

const FREEZING_F = 32;
/** The air over a salt, beside the humidity that is checked in it. */
const JAR = { quantity: 'air/temperature', unitText: '' } as const;

function isTemperature({ quantity }: Scale): boolean {
  return quantity?.endsWith('/temperature') ?? false;
}

/** A value as it is read: `0.2 °C`, `75.3 %RH`. */
export function valueWords(value: number, scale: Scale): string {
  return isTemperature(scale)
    ? `${fixed(readingTemperature(value, scale.unit), 1)}${NO_BREAK}${degreeSign(scale.unit)}`
    : `${fixed(value, 1)}${NO_BREAK}${scale.unitText}`;
}

/** A difference as it is read, without a sign: `1.2 K`, `2.2 °F`, `3.0 %RH`. */
function differenceWords(value: number, scale: Scale, decimals = 1): string {
  const size = Math.abs(value);
  if (!isTemperature(scale)) return `${fixed(size, decimals)}${NO_BREAK}${scale.unitText}`;
  const unit = scale.unit === 'C' ? 'K' : '°F';
  return `${fixed(readingDifference(size, scale.unit), decimals)}${NO_BREAK}${unit}`;
}

/** What a line does: `adds 0.5 K`, `times 1.269, less 15.2 %RH`; of temperatures, to values as they are read. */
export function lineWords(line: Line, scale: Scale): string {
  const { gain, offset } = readingLine(line, scale);
  const shift = `${fixed(Math.abs(offset), 2)}${NO_BREAK}${shiftUnit(scale)}`;
  if (gain === 1 && offset === 0) return 'no correction';
  if (gain === 1) return offset > 0 ? `adds ${shift}` : `takes off ${shift}`;
  const times = `times ${fixed(gain, 4)}${isTemperature(scale) ? ` in ${degreeSign(scale.unit)}` : ''}`;
  if (Math.abs(offset) < 0.005) return times;
  return offset > 0 ? `${times}, plus ${shift}` : `${times}, less ${shift}`;
}

/** A line that holds of values in °C, as one of values in the unit for reading: in °F it turns about another zero. */
function readingLine({ gain, offset }: Line, scale: Scale): Line {
  if (!isTemperature(scale) || scale.unit === 'C') return { gain, offset };
  return { gain, offset: readingDifference(offset, 'F') - FREEZING_F * (gain - 1) };
}

/** A line that was typed for values in the unit for reading, as one of values in °C. */
export function celsiusLine({ gain, offset }: Line, scale: Scale): Line {
  if (!isTemperature(scale) || scale.unit === 'C') return { gain, offset };
  const offsetC = (offset + FREEZING_F * (gain - 1)) / readingDifference(1, 'F');
  return { gain, offset: Number(offsetC.toPrecision(12)) };
}

/** The unit in which a shift is typed. */
export function shiftUnit(scale: Scale): string {
  if (!isTemperature(scale)) return scale.unitText;
  return scale.unit === 'C' ? 'K' : '°F';
}

/** What a criterion has, and what it needs. */
export function criterionWords({ name, has, needs, met }: Criterion, scale: Scale): string {
  const atMost = `at most ${differenceWords(needs, scale)}`;
  const received = (what: string, readText: string, limit: string) =>
    has === null ? `${what}: not known yet, ${limit}` : `${what} ${readText}, ${limit}`;
  const size = differenceWords(has ?? 0, scale);
  switch (name) {
    case 'in-place':
      return met
        ? `there for ${duration((has ?? 0) * MINUTE_MS)}`
        : `there for ${duration((has ?? 0) * MINUTE_MS)} of ${duration(needs * MINUTE_MS)}`;
    case 'fresh':
      return has === null
        ? 'nothing read there yet'
        : `newest reading ${duration(has * MINUTE_MS)} old, at most ${needs} min`;
    case 'unbroken':
      return received('longest pause', duration((has ?? 0) * MINUTE_MS), `at most ${needs} min`);
    case 'spread':
      return received('readings within', size, atMost);
    case 'slope':
      return received('moving in an hour', size, atMost);
    case 'temperature':
      return received(
        'the jar within',
        differenceWords(has ?? 0, { ...JAR, unit: scale.unit }),
        `at most ${differenceWords(needs, { ...JAR, unit: scale.unit })}`,
      );
  }
}

/** How much of the least time has passed, 0…1. */
export function progressOf({ criteria }: Steadiness): number {
  const { has, needs } = criteria.find(({ name }) => name === 'in-place') ?? { has: 0, needs: 1 };
  return Math.min(1, Math.max(0, (has ?? 0) / needs));
}

/** A published value with its uncertainty: `0.0 °C, give or take 0.10 K`. */
export function rightWords(reference: number, uncertainty: number, scale: Scale): string {
  return `${valueWords(reference, scale)}, give or take ${differenceWords(uncertainty, scale, 2)}`;
}

/** What a step is held against: `melting ice`. */
export function referenceWords(reference: Reference, nameOf: (probeId: number) => string): string {
  if (reference.kind === 'ice') return 'melting ice';
  return reference.kind === 'salt' ? reference.salt : nameOf(reference.probeId);
}

/** What was read at a step, what should have been, and whether the difference is allowed. */
export function takenWords(taken: TakenReading, scale: Scale): string {
  const { read, corrected, reference, uncertainty, accuracy } = taken;
  const off = corrected - reference;
  const readText = `It read ${valueWords(read, scale)}`;
  const used = Math.abs(corrected - read) > 1e-9 ? `, corrected to ${valueWords(corrected, scale)}` : '';
  const due = `; right is ${rightWords(reference, uncertainty, scale)}`;
  const side =
    Math.abs(off) < 0.05 ? 'no difference' : `${differenceWords(off, scale)} too ${off > 0 ? 'high' : 'low'}`;
  const allowed = `${differenceWords(accuracy + uncertainty, scale, 2)} is allowed, for the probe and the reference together`;
  return `${readText}${used}${due}. That is ${side}: ${allowed}.`;
}

/** What a check comes to, in a sentence. */
export function resultWords({ result, kind }: Pick<CheckView, 'result' | 'kind'>, scale: Scale): string {
  if (result === null) return 'Given up before its end.';
  if (result.verdict === 'within')
    return 'The probe is right, as near as this check can tell. Nothing is to be corrected.';
  if (result.proposal !== null)
    return `The probe is off. Proposed: a correction that ${lineWords(result.proposal, scale)}.`;
  return `So far off no sound probe drifts. ${IMPLAUSIBLE[kind]}`;
}

const IMPLAUSIBLE: Readonly<Record<CheckKind, string>> = {
  ice: 'Was there ice around the tip all the time? If so, replace the probe.',
  salts:
    'Was salt left over, the jar tight, and probe and salt at one temperature? If so, replace the probe.',
  beside: 'Were both in the same place? If so, check each against ice or salt.',
};

/** Which probes are due for a check, low-key. */
export function dueWords(
  probes: readonly Pick<ProbeTruth, 'probeId' | 'due' | 'lastCheck' | 'kinds'>[],
  { nowMs, nameOf }: { nowMs: number; nameOf: (probeId: number) => string },
): string {
  const checkable = probes.filter(({ kinds }) => kinds.length > 0);
  const due = checkable.filter((probe) => probe.due !== null && Date.parse(probe.due) <= nowMs);
  const never = checkable.filter(({ lastCheck, due: date }) => lastCheck === null && date === null);
  if (checkable.length === 0) return 'There is no probe yet that can be checked.';
  if (due.length > 0) return `Due for a check: ${due.map(({ probeId }) => nameOf(probeId)).join(', ')}.`;
  if (never.length === checkable.length)
    return 'No probe was checked yet. Check new ones before their first cuttings, and each every half year.';
  return never.length === 0
    ? 'No check is due.'
    : `No check is due; never checked: ${never.map(({ probeId }) => nameOf(probeId)).join(', ')}.`;
}

type NamedProbes = {
  readonly rows: readonly { readonly id: number }[];
  nameOf(probeId: number): string;
  scaleOf(probeId: number): Scale;
};

type CheckedNow = {
  readonly open: readonly {
    readonly probeId: number;
    readonly kind: CheckKind;
    readonly steps: readonly Pick<CheckStep, 'sinceMs'>[];
  }[];
  readonly probes: readonly Pick<ProbeTruth, 'probeId' | 'inForce'>[];
};

/** What of the probes of one place is in a check or corrected now; empty where nothing is. */
export function placeCheckWords(
  { open, probes }: CheckedNow,
  { rows, nameOf, scaleOf }: NamedProbes,
): string {
  const here = new Set(rows.map(({ id }) => id));
  const away = open.filter(
    ({ probeId, kind, steps }) =>
      here.has(probeId) && kind !== 'beside' && steps.some(({ sinceMs }) => sinceMs !== null),
  );
  const corrected = probes.filter(
    ({ probeId, inForce }) => here.has(probeId) && inForce && (inForce.gain !== 1 || inForce.offset !== 0),
  );
  const lines = [
    ...away.map(({ probeId }) => `${nameOf(probeId)} is being checked and counts nowhere meanwhile.`),
    ...corrected.map(
      ({ probeId, inForce }) =>
        `${nameOf(probeId)}: ${lineWords(inForce ?? NO_CORRECTION, scaleOf(probeId))}.`,
    ),
  ];
  return lines.join(' ');
}

/** What became of a correction: in force, replaced or withdrawn. */
export function correctionState(
  { id, fromMs, withdrawnMs }: Correction,
  { corrections, inForce }: Pick<ProbeTruth, 'corrections' | 'inForce'>,
): 'withdrawn' | 'in force' | 'replaced' {
  if (withdrawnMs !== null) return 'withdrawn';
  const last = corrections.findLast((one) => one.withdrawnMs === null && one.fromMs === inForce?.fromMs);
  return last?.id === id && inForce?.fromMs === fromMs ? 'in force' : 'replaced';
}

/** The step that is next, and how many there are: `step 1 of 2`. */
export function stepWords({ at, steps }: { at: number | null; steps: readonly CheckStep[] }): string {
  return at === null || steps.length === 1 ? '' : `step ${at + 1} of ${steps.length}`;
}
