import { minutesWithoutMist } from '../../../shared/harm/minutes-without-mist.ts';
import type { Drying } from '../../../shared/harm/place-state.ts';
import { LIMIT_RULE_DEFINITIONS } from '../../../shared/rules/rules.ts';
import type { NowValue, SeriesName } from '../../../shared/wire/http.ts';
import { type AlarmRecord, isActive } from '../alarms/record.ts';

/** A batch that stands at a place, as far as mist matters to it. */
export type StandingBatch = {
  readonly stuckAtMs: number;
  readonly crop: string;
  readonly isPoinsettia: boolean;
};

const MS_PER_DAY = 86_400_000;
const MS_PER_MINUTE = 60_000;
const NO_MIST = 'no-mist-in-light';

/**
 * How far the leaves of a place have dried while its mist does not come: of its batches, the one that stands the shortest.
 *
 * What passed since the last pulse counts at the present rate; the minutes in which the film dries are not taken off, so that
 * it is a little early.
 * @param facts batches that stand there; alarms and newest values of the place; now, ms since epoch
 * @returns null while mist comes, while the air is not known, without a batch of which anything is known, and where all
 * would stand longer than the paper measured
 * @source [ALEM19] minutes by age; the rest as `minutesWithoutMist` says
 */
export function dryingNow(facts: {
  /** asked only while mist does not come */
  readonly standing: () => readonly StandingBatch[];
  readonly alarms: readonly AlarmRecord[];
  readonly quantities: Readonly<Partial<Record<SeriesName, NowValue>>>;
  readonly nowMs: number;
}): Drying | null {
  const { standing, alarms, quantities, nowMs } = facts;
  const alarm = alarms.find((record) => record.rule === NO_MIST && isActive(record));
  const about = alarm?.facts;
  if (about?.kind !== 'past-limit' || about.value <= about.limit) return null;
  const vpdKpa = read(quantities.leafVpdKpa) ?? read(quantities.airVpdKpa);
  if (vpdKpa === null) return null;
  const ppfdUmolM2S = read(quantities.ppfdUmolM2S);
  const estimates = standing()
    .flatMap(({ stuckAtMs, isPoinsettia }) => {
      const ageDays = Math.max(nowMs - stuckAtMs, 0) / MS_PER_DAY;
      return minutesWithoutMist({ ageDays, vpdKpa: Math.max(vpdKpa, 0), ppfdUmolM2S, isPoinsettia }) ?? [];
    })
    .filter(({ longerThanMeasured }) => !longerThanMeasured);
  if (estimates.length === 0) return null;
  const tolerableMin = Math.min(...estimates.map(({ minutes }) => minutes));
  const unmistedMin = about.value + Math.max(nowMs - about.atMs, 0) / MS_PER_MINUTE;
  return {
    done: unmistedMin / tolerableMin,
    ratePerHour: 60 / tolerableMin,
    respondWithinMin: LIMIT_RULE_DEFINITIONS[NO_MIST].respondWithinMin,
  };
}

function read(now: NowValue | undefined): number | null {
  return now && now.state !== 'stale' ? now.value : null;
}
