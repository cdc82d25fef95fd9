import { ventLeftOpen as definition } from '../../../../../shared/rules/leaves/vent-left-open.ts';
import type { Vent } from '../../../vents/vent.ts';
import { COVERED, newestKnown, samplesOver, VENTS_LOOKBACK_MS } from '../../limit-samples.ts';
import type { RecordSampler } from '../sampler.ts';

const HOUR_MS = 3_600_000;

/** Hours a vent has been open: under a cover as it is recognised, elsewhere as it was logged. */
export const ventLeftOpen: RecordSampler = {
  by: 'record',
  beside: [],
  beforeMs: VENTS_LOOKBACK_MS,
  applies: (_place, known) => known.has('air/temperature') && known.has('air/humidity'),
  samples: (into) => {
    const { vents, reliable } = into.vents();
    const covered = COVERED.includes(into.place.kind);
    const counted = vents.filter(({ how }) => covered || how === 'logged');
    return samplesOver(into, (tMs, moment) => ({
      value: hoursOpen(newestKnown(counted, tMs, VENTS_LOOKBACK_MS), { nowMs: tMs, reliable }),
      limit: definition.limitAt(moment),
    }));
  },
};

/**
 * How long a vent has been open, h: one that was not shut, or after which humidity did not come back under its cover.
 * @param last the newest vent as it is known at the time, or null
 * @returns 0 when none is open; null where that is not known
 */
function hoursOpen(
  last: Pick<Vent, 'fromMs' | 'toMs' | 'how' | 'humidityBack'> | null,
  { nowMs, reliable }: { nowMs: number; reliable: boolean },
): number | null {
  if (last === null) return reliable ? 0 : null;
  const open = last.toMs === null || (last.how !== 'logged' && last.humidityBack === false);
  return open ? (nowMs - last.fromMs) / HOUR_MS : 0;
}
