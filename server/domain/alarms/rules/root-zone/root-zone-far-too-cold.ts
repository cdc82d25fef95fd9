import { bandExposure } from '../../../../../shared/exposure/integrate.ts';
import { rootZoneFarTooCold as definition } from '../../../../../shared/rules/root-zone/root-zone-far-too-cold.ts';
import { SAMPLE_EVERY_MS, samplesOver } from '../../limit-samples.ts';
import type { LimitSample, RecordSampler, SampleQuestion } from '../sampler.ts';

const HOUR_MS = 3_600_000;
/** How far back cold is counted, ms. */
const COLD_LOOKBACK_MS = 24 * HOUR_MS;
/** So many steps in its band on end, half an hour, end the cold. Proposal. */
const WARM_STEPS = 6;

/** Degree-hours below its band since the root zone was in it for half an hour, °C·h. */
export const rootZoneFarTooCold: RecordSampler = {
  by: 'record',
  beside: [],
  beforeMs: COLD_LOOKBACK_MS,
  applies: (_place, known) => known.has('root/temperature'),
  samples: coldSamples,
};

type Step = { readonly degreeHours: number; readonly isWarm: boolean };

function coldSamples(into: SampleQuestion): LimitSample[] {
  const steps = stepsOf(into);
  return samplesOver(into, (tMs, moment) => {
    const { degreeHours, isOver } = coldUntil(steps, tMs);
    return {
      value: degreeHours,
      limit: definition.limitAt(moment),
      unjudged: definition.unjudged(moment),
      // cold that is a day old counts no more, and is over all the same only once it is warm
      recovers: () => isOver,
    };
  });
}

/** The steps of five minutes at whose ends samples are taken, by the number of their end. */
function stepsOf({ span, rootZone }: SampleQuestion): ReadonlyMap<number, Step> {
  const { segments, bands } = rootZone();
  const steps = new Map<number, Step>();
  const first = Math.ceil((span.fromMs - COLD_LOOKBACK_MS) / SAMPLE_EVERY_MS) + 1;
  for (let end = first; end * SAMPLE_EVERY_MS < span.toMs; end += 1) {
    const toMs = end * SAMPLE_EVERY_MS;
    const window = { fromMs: toMs - SAMPLE_EVERY_MS, toMs };
    const { coveredHours, hoursBelow, unitHoursBelow } = bandExposure(segments, bands, window);
    if (coveredHours > 0) steps.set(end, { degreeHours: unitHoursBelow, isWarm: hoursBelow === 0 });
  }
  return steps;
}

/** The cold since it was last over, and whether it is over now; what a gap hides is neither cold nor warm. */
function coldUntil(
  steps: ReadonlyMap<number, Step>,
  tMs: number,
): { readonly degreeHours: number; readonly isOver: boolean } {
  const last = Math.floor(tMs / SAMPLE_EVERY_MS);
  let [cold, warm] = [0, 0];
  for (let end = last; end > last - COLD_LOOKBACK_MS / SAMPLE_EVERY_MS; end -= 1) {
    const step = steps.get(end);
    if (!step) continue;
    warm = step.isWarm ? warm + 1 : 0;
    if (warm === WARM_STEPS) return { degreeHours: cold, isOver: cold === 0 };
    cold += step.degreeHours;
  }
  return { degreeHours: cold, isOver: false };
}
