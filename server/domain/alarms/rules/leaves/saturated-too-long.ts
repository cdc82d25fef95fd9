import { whereAbove } from '../../../../../shared/exposure/intersect.ts';
import type { Window } from '../../../../../shared/exposure/series.ts';
import { saturatedTooLong as definition } from '../../../../../shared/rules/leaves/saturated-too-long.ts';
import { newestKnown, SATURATION_LOOKBACK_MS, samplesOver } from '../../limit-samples.ts';
import type { LimitSample, RecordSampler, SampleQuestion } from '../sampler.ts';

const HOUR_MS = 3_600_000;

/** Hours of saturated air since the last vent. */
export const saturatedTooLong: RecordSampler = {
  by: 'record',
  beside: [],
  beforeMs: SATURATION_LOOKBACK_MS,
  applies: (_place, known) => known.has('air/temperature') && known.has('air/humidity'),
  samples: saturatedSamples,
};

function saturatedSamples(into: SampleQuestion): LimitSample[] {
  const { vents } = into.vents();
  const until = hoursUntil(whereAbove(into.saturation()));
  return samplesOver(into, (tMs, moment) => {
    const startMs = tMs - SATURATION_LOOKBACK_MS;
    const seen = newestKnown(vents, tMs, SATURATION_LOOKBACK_MS);
    const fromMs = seen === null ? startMs : Math.min(Math.max(seen.toMs ?? seen.fromMs, startMs), tMs);
    return {
      value: until(tMs) - until(fromMs),
      limit: definition.limitAt(moment),
      unjudged: definition.unjudged(moment),
    };
  });
}

/** Hours of ascending windows that lie before a time. */
function hoursUntil(windows: readonly Window[]): (tMs: number) => number {
  const before = [0];
  for (const { fromMs, toMs } of windows) before.push((before.at(-1) as number) + toMs - fromMs);
  return (tMs) => {
    let [low, high] = [0, windows.length];
    while (low < high) {
      const middle = (low + high) >>> 1;
      if ((windows[middle] as Window).toMs <= tMs) low = middle + 1;
      else high = middle;
    }
    const open = windows[low];
    const inside = open && tMs > open.fromMs ? tMs - open.fromMs : 0;
    return ((before[low] as number) + inside) / HOUR_MS;
  };
}
