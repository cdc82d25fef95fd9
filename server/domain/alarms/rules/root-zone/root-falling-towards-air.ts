import { medianOf } from '../../../../../shared/exposure/sample.ts';
import { bandAt } from '../../../../../shared/model/target-band.ts';
import { fallPerHour, TRAIL_OVER_MS } from '../../trail.ts';
import type { Beside, Fresh, ProbeReading, ProbeSampler } from '../sampler.ts';

/** A root zone must be this much warmer than its air for its fall to be one towards the air, K. */
const WARMER_K = 0.3;
/** A root zone this far above the low end of its band has warmth to spare, K. */
const SPARE_K = 1;

/** How fast the root zone falls towards its air, K/h. */
export const rootFallingTowardsAir: ProbeSampler = {
  by: 'probe',
  asRead: false,
  beside: ['air/temperature'],
  beforeMs: TRAIL_OVER_MS,
  value: (reading: ProbeReading, { trail, moment, fresh }: Beside) => {
    return fallTowardsAir({
      fallKPerH: fallPerHour(trail, reading),
      rootC: reading.value,
      bandLowC: bandAt(moment, 'rootZone').lowC,
      air: fresh('air/temperature'),
    });
  },
};

/**
 * How fast a root zone falls towards its air, K/h; 0 while it is no warmer than the air, or has warmth to spare.
 * @param seen.fallKPerH over the last hour; null: not known
 */
function fallTowardsAir(seen: {
  readonly fallKPerH: number | null;
  readonly rootC: number;
  readonly bandLowC: number;
  readonly air: Fresh;
}): number | null {
  const airC = seen.air && medianOf(seen.air.values);
  if (seen.fallKPerH === null || airC === null) return null;
  if (seen.rootC <= airC + WARMER_K || seen.rootC > seen.bandLowC + SPARE_K) return 0;
  return Math.max(0, seen.fallKPerH);
}
