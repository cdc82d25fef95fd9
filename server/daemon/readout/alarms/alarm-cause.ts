import type { Place } from '../../../../shared/model/place.ts';
import { type AlarmRecord, isActive } from '../../../domain/alarms/record.ts';
import { causeInWords, causesOfRule } from '../../../domain/causes/judged.ts';
import type { Clock, Store } from '../../../ports.ts';
import type { World } from '../../world/world.ts';
import { JUDGED_AFTER_MS, verdictAt } from '../night/cause.ts';

type CauseContext = { readonly world: World; readonly store: Store; readonly clock: Clock };

/** Each takes some milliseconds: many alarms at once make no turn long. */
const MOST_A_SECOND = 5;

/**
 * Judges why an alarm is active: as it is raised, where nothing is in doubt, and once more 10 min after its limit was
 * crossed. What was judged is held in memory alone, as it follows from the record.
 * @returns true where it is judged otherwise than before
 */
export function createCauses(context: CauseContext): (record: AlarmRecord) => boolean {
  const { world, clock } = context;
  let turn = { second: 0, count: 0 };
  return (record) => {
    const { id, facts, raisedAtMs, placeId, rule } = record;
    const among = causesOfRule(rule);
    const place = placeId === null ? undefined : world.places.get(placeId);
    if (!place || among === null || facts?.kind !== 'past-limit' || !isActive(record))
      return world.causes.delete(id);
    const nowMs = clock.nowMs();
    const judgeMs = facts.sinceMs + JUDGED_AFTER_MS;
    const isFinal = nowMs >= judgeMs;
    const known = world.causes.get(id);
    if (known?.raisedAtMs === raisedAtMs && (known.isFinal || !isFinal)) return false;
    const second = Math.floor(nowMs / 1_000);
    if (turn.second !== second) turn = { second, count: 0 };
    if (turn.count >= MOST_A_SECOND) return false;
    turn.count += 1;
    const cause = judge(place, { atMs: Math.min(nowMs, judgeMs), among, isFinal }, context);
    world.causes.set(id, { raisedAtMs, isFinal, cause });
    return known?.cause.sentence !== cause.sentence;
  };
}

type Judging = Parameters<typeof verdictAt>[1] & { readonly isFinal: boolean };

function judge(place: Place, { isFinal, ...judging }: Judging, context: CauseContext) {
  const verdict = verdictAt(place, judging, context);
  return causeInWords(verdict ?? { likely: null, isConfident: false, hypotheses: [] }, { isFinal });
}
