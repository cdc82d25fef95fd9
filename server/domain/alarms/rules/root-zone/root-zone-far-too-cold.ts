import type { BandPiece } from '../../../../../shared/exposure/bands.ts';
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

type Step = {
  readonly degreeHours: number;
  readonly isWarm: boolean;
  /** coldest of the step, and the low edge of the band at its end, °C */
  readonly minC: number;
  readonly lowC: number | null;
};

function coldSamples(into: SampleQuestion): LimitSample[] {
  const steps = stepsOf(into);
  return samplesOver(into, (tMs, moment) => {
    const { degreeHours, isOver, isByBand } = coldUntil(steps, tMs);
    return {
      value: degreeHours,
      limit: definition.limitAt(moment),
      unjudged: definition.unjudged(moment),
      // cold that is a day old counts no more, and is over all the same only once it is warm
      recovers: () => isOver,
      ...(isByBand ? { limitMoved: true as const } : {}),
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
    const { min, hoursBelow, unitHoursBelow } = bandExposure(segments, bands, window);
    const isWarm = hoursBelow === 0;
    if (min !== null)
      steps.set(end, { degreeHours: unitHoursBelow, isWarm, minC: min, lowC: lowAt(bands, toMs) });
  }
  return steps;
}

/** The low edge of a band at the end of a step, °C. */
function lowAt(bands: readonly BandPiece[], tMs: number): number | null {
  const piece = bands.findLast(({ fromMs }) => fromMs < tMs);
  if (!piece?.course || piece.low === null) return piece?.low ?? null;
  const { sinceMs, overMs, to } = piece.course;
  return piece.low + ((to.low ?? piece.low) - piece.low) * Math.min((tMs - sinceMs) / overMs, 1);
}

type Cold = {
  readonly degreeHours: number;
  readonly isOver: boolean;
  /** it is over because the band was lowered: the root zone is still below the one it was cold by */
  readonly isByBand: boolean;
};

/** The cold since it was last over, and whether it is over now; what a gap hides is neither cold nor warm. */
function coldUntil(steps: ReadonlyMap<number, Step>, tMs: number): Cold {
  const last = Math.floor(tMs / SAMPLE_EVERY_MS);
  const first = last - COLD_LOOKBACK_MS / SAMPLE_EVERY_MS + 1;
  let [cold, warm] = [0, 0];
  for (let end = last; end >= first; end -= 1) {
    const step = steps.get(end);
    if (!step) continue;
    warm = step.isWarm ? warm + 1 : 0;
    if (warm === WARM_STEPS) {
      const isOver = cold === 0;
      return { degreeHours: cold, isOver, isByBand: isOver && isBelowBefore(steps, { first, last }) };
    }
    cold += step.degreeHours;
  }
  return { degreeHours: cold, isOver: false, isByBand: false };
}

/** Whether the root zone is below the band that it was below when it was last cold. */
function isBelowBefore(
  steps: ReadonlyMap<number, Step>,
  { first, last }: { readonly first: number; readonly last: number },
): boolean {
  let now: number | null = null;
  let [lowC, warm] = [Number.NEGATIVE_INFINITY, 0];
  for (let end = last; end >= first; end -= 1) {
    const step = steps.get(end);
    if (!step) continue;
    now ??= step.minC;
    if (!step.isWarm) lowC = Math.max(lowC, step.lowC ?? lowC);
    // before the last cold it was warm for long enough
    warm = step.isWarm ? warm + 1 : 0;
    if (warm >= WARM_STEPS && lowC > Number.NEGATIVE_INFINITY) break;
  }
  return now !== null && now < lowC;
}
