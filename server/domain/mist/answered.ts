import type { Window } from '../../../shared/exposure/series.ts';
import type { MistRecord } from './pulse.ts';

/** A pulse of the valve that would have left a mark in the air or on the leaf, and whether it did. */
export type JudgedPulse = { readonly fromMs: number; readonly isAnswered: boolean };

/** Water acts on air and leaf within so long, ms. Common practice, no source. */
const ANSWER_WITHIN_MS = 3 * 60_000;
/** A mark is distinguished from a slope by this many readings after it. */
const READINGS_AFTER = 4;

/**
 * Which pulses of the valve were answered. Near saturation, or without readings, nothing can be said of a pulse: those
 * are left out.
 * @param valve pulses by the valve
 * @param water pulses by the air and the leaf, and the time in which one would have been seen
 * @returns by their start; none where the air is read too seldom to tell
 */
export function judgedPulses(valve: MistRecord, water: MistRecord): JudgedPulse[] {
  const { cadenceMs, covered, pulses } = water;
  if (cadenceMs === null) return [];
  const judged: JudgedPulse[] = [];
  let [stretch, answer] = [0, 0];
  for (const { fromMs } of valve.pulses) {
    const untilMs = fromMs + ANSWER_WITHIN_MS;
    while (stretch < covered.length && (covered[stretch] as Window).toMs < untilMs) stretch += 1;
    if ((covered[stretch]?.fromMs ?? Number.POSITIVE_INFINITY) > fromMs) continue;
    // the mark of a pulse is the last reading before its fall
    while (answer < pulses.length && (pulses[answer]?.fromMs ?? 0) < fromMs - 2 * cadenceMs) answer += 1;
    judged.push({ fromMs, isAnswered: (pulses[answer]?.fromMs ?? Number.POSITIVE_INFINITY) <= untilMs });
  }
  return judged;
}

/** When it is known whether a pulse was answered, ms since epoch. */
export function knownAtMs({ fromMs }: JudgedPulse, { cadenceMs }: Pick<MistRecord, 'cadenceMs'>): number {
  return fromMs + ANSWER_WITHIN_MS + READINGS_AFTER * (cadenceMs ?? 0);
}
