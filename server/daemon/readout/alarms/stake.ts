import { type Stake, stakeOf } from '../../../../shared/harm/priority.ts';
import type { Place } from '../../../../shared/model/place.ts';
import { type AlarmPriority, type AlarmRule, isSettableRule, RULES } from '../../../../shared/rules/rules.ts';
import type { AlarmRecord } from '../../../domain/alarms/record.ts';
import { spansOf } from '../../world/records.ts';
import { harmNow } from '../condition.ts';
import { dayOrNight, type QueryContext, valuesNow } from '../present.ts';

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;

/** Why harm makes an alarm one of high priority now, beyond what its place and its rule say; null where it does not. */
export type StakeNow = (record: AlarmRecord) => Stake | null;

/** What is at stake at a place, from what is measured there. */
export function createStakes(context: QueryContext): StakeNow {
  return ({ placeId, rule }) => {
    const place = placeId === null ? undefined : context.world.places.get(placeId);
    const { priority: floor, harm: kind } = RULES[rule];
    const set = place && setPriority(rule, place, context);
    if (!place || !kind || set || floor === 'high') return null;
    const nowMs = context.clock.nowMs();
    const now = { ...valuesNow(place, context), ...dayOrNight(place, context), nowMs };
    const { harm, ratePerHour } = harmNow(place, now, context);
    const hoursToDay = hoursUntilDay(place, nowMs, context);
    return stakeOf({ kind, harm: harm[kind], ratePerHour: ratePerHour[kind], hoursToDay });
  };
}

/** Until day begins at a place, h; 0 by day, and where the light decides, which nobody knows beforehand. */
function hoursUntilDay(place: Place, nowMs: number, context: QueryContext): number {
  const spans = spansOf(place, { fromMs: nowMs, toMs: nowMs + DAY_MS }, context);
  const day = spans.find(({ night }) => !night);
  return day ? Math.max(day.fromMs - nowMs, 0) / HOUR_MS : 0;
}

/** As the place sets it, else its target sheet. */
export function setPriority(
  rule: AlarmRule,
  place: Place,
  context: Pick<QueryContext, 'world' | 'clock'>,
): AlarmPriority | undefined {
  if (!isSettableRule(rule)) return undefined;
  const { alarms } = context.world.targets(place.id, context.clock.nowMs());
  return place.settings.alarms[rule]?.priority ?? alarms?.priority?.[rule];
}
