import { mistStuckOn as definition } from '../../../../../shared/rules/leaves/mist-stuck-on.ts';
import type { MistRecord } from '../../../mist/pulse.ts';
import { MIST_LOOKBACK_MS, samplesOver } from '../../limit-samples.ts';
import type { LimitSample, RecordSampler, SampleQuestion } from '../sampler.ts';

const MINUTE_MS = 60_000;

/** Minutes the mist valve has been open on end. */
export const mistStuckOn: RecordSampler = {
  by: 'record',
  beside: [],
  beforeMs: MIST_LOOKBACK_MS,
  applies: (_place, known) => known.has('mist/valve'),
  samples: openSamples,
};

function openSamples(into: SampleQuestion): LimitSample[] {
  const { mist } = into.mist();
  const openFor = openUntil(mist, into.place.settings.maxGapMs);
  return samplesOver(into, (tMs, moment) => ({ value: openFor(tMs), limit: definition.limitAt(moment) }));
}

/** How long the valve had been open, min; null where it had not reported within a gap; asked at times that only grow. */
function openUntil({ pulses, covered }: MistRecord, maxGapMs: number): (tMs: number) => number | null {
  let [pulse, stretch] = [0, 0];
  return (tMs) => {
    while (stretch + 1 < covered.length && (covered[stretch + 1]?.fromMs ?? 0) <= tMs) stretch += 1;
    const watched = covered[stretch];
    if (!watched || watched.fromMs > tMs || watched.toMs < tMs - maxGapMs) return null;
    while (pulse < pulses.length && (pulses[pulse]?.fromMs ?? 0) <= tMs) pulse += 1;
    const newest = pulses[pulse - 1];
    const isOpen = newest !== undefined && (newest.toMs === null || newest.toMs > tMs);
    return isOpen ? (tMs - newest.fromMs) / MINUTE_MS : 0;
  };
}
