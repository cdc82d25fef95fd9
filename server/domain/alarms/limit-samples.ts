import type { Place } from '../../../shared/model/place.ts';
import type { Moment } from '../../../shared/rules/rule.ts';
import type { Vent } from '../vents/vent.ts';
import type { LimitSample, SampleQuestion } from './rules/sampler.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

/** What only the record shows of a place is evaluated this often, ms, on the multiples of it since epoch. */
export const SAMPLE_EVERY_MS = 5 * MINUTE_MS;
/** Readings that are on their way are waited for, ms. */
const SAMPLE_LATE_MS = 5_000;
/** How far back mist, vents and saturation are evaluated, ms. */
export const MIST_LOOKBACK_MS = 3 * HOUR_MS;
export const VENTS_LOOKBACK_MS = 12 * HOUR_MS;
export const SATURATION_LOOKBACK_MS = 6 * VENTS_LOOKBACK_MS;
/** A vent is one once the air has stayed dry for so long: before, nobody could have known. */
const KNOWN_AFTER_MS = 10 * MINUTE_MS;
/** Humidity that has not come back so long after a vent was shut did not come back. */
const BACK_WITHIN_MS = 2 * HOUR_MS;

/** On an open bench humidity falls with the day: only under a cover is that a vent, unless somebody logged it. */
export const COVERED: readonly Place['kind'][] = ['dome', 'case', 'frame'];

/** The time of the newest sample that is due, ms since epoch. */
export function newestSampleMs(nowMs: number): number {
  return Math.floor((nowMs - SAMPLE_LATE_MS) / SAMPLE_EVERY_MS) * SAMPLE_EVERY_MS;
}

/** One sample every five minutes of a span while the place reports. */
export function samplesOver(
  { span, reported, moment }: Pick<SampleQuestion, 'span' | 'reported' | 'moment'>,
  sampleAt: (tMs: number, moment: Moment) => Omit<LimitSample, 'tMs'>,
): LimitSample[] {
  const samples: LimitSample[] = [];
  const firstMs = Math.ceil(span.fromMs / SAMPLE_EVERY_MS) * SAMPLE_EVERY_MS;
  for (let tMs = firstMs; tMs < span.toMs; tMs += SAMPLE_EVERY_MS)
    if (reported(tMs)) samples.push({ tMs, ...sampleAt(tMs, moment(tMs)) });
  return samples;
}

/** The newest vent that touches the time looked back, as it would have been known at the time. */
export function newestKnown(vents: readonly Vent[], tMs: number, lookbackMs: number): Vent | null {
  for (let i = vents.length - 1; i >= 0; i -= 1) {
    const vent = vents[i] as Vent;
    const knownMs = vent.how === 'logged' ? vent.fromMs : vent.fromMs + KNOWN_AFTER_MS;
    if (knownMs >= tMs) continue;
    const known = asKnown(vent, tMs);
    // one that is still open is the newest however long ago it was opened
    return known.toMs !== null && known.toMs < tMs - lookbackMs ? null : known;
  }
  return null;
}

function asKnown(vent: Vent, tMs: number): Vent {
  const { toMs } = vent;
  if (toMs === null || toMs >= tMs) return { ...vent, toMs: null, humidityBack: null, backAtMs: null };
  const isBack = vent.backAtMs !== null && vent.backAtMs <= tMs;
  const isLate = vent.humidityBack === false && tMs > toMs + BACK_WITHIN_MS;
  return { ...vent, humidityBack: isBack ? true : isLate ? false : null };
}
