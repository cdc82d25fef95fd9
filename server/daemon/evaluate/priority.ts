import { isAtStake } from '../../../shared/harm/priority.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { NoDataFacts } from '../../../shared/rules/facts.ts';
import { type AlarmPriority, isSettableRule, RULES } from '../../../shared/rules/rules.ts';
import { type AlarmRecord, type AlarmStep, isActive, withPriority } from '../../domain/alarms/record.ts';
import { harmNow } from '../readout/condition.ts';
import { dayOrNight, type QueryContext, valuesNow } from '../readout/present.ts';
import { spansOf } from '../world/records.ts';

/** The priority an alarm has now: as its place sets it, else its rule's own, raised by harm and never lowered. */
export type PriorityOf = (record: AlarmRecord) => AlarmPriority;

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
/** Priorities are checked again so often, ms: harm is a matter of minutes. */
const EVERY_MS = 10_000;
const TURN_MS = 1_000;

/** Priorities as they follow from what is measured. */
export function createPriorities(context: QueryContext): PriorityOf {
  return ({ placeId, rule, facts }) => {
    const place = placeId === null ? undefined : context.world.places.get(placeId);
    const set = place && isSettableRule(rule) ? place.settings.alarms[rule]?.priority : undefined;
    if (set) return set;
    if (rule === 'probe-silent' && facts?.kind === 'no-data') return ofSilentProbes(facts);
    const { priority: floor, harm: kind } = RULES[rule];
    if (!place || !kind || floor === 'high') return floor;
    const nowMs = context.clock.nowMs();
    const now = { ...valuesNow(place, context), ...dayOrNight(place, context), nowMs };
    const { harm, ratePerHour } = harmNow(place, now, context);
    const stake = { kind, harm: harm[kind], ratePerHour: ratePerHour[kind] };
    return isAtStake({ ...stake, hoursToDay: hoursToDay(place, nowMs, context) }) ? 'high' : floor;
  };
}

/** A silent probe on which nothing rests can wait for the morning; one without which nobody sees the heat cannot. */
function ofSilentProbes({ blind = [], matters }: NoDataFacts): AlarmPriority {
  if (matters) return 'high';
  return blind.length > 0 ? RULES['probe-silent'].priority : 'low';
}

/** Until day begins at a place, h; 0 by day, and where the light decides, which nobody knows beforehand. */
function hoursToDay(place: Place, nowMs: number, context: QueryContext): number {
  const spans = spansOf(place, { fromMs: nowMs, toMs: nowMs + DAY_MS }, context);
  const day = spans.find(({ night }) => !night);
  return day ? Math.max(day.fromMs - nowMs, 0) / HOUR_MS : 0;
}

/** Alarms whose priority harm has raised since they were raised themselves: they call as new ones would. */
export function raisedPriority(
  record: AlarmRecord,
  { nowMs, priorityOf }: { readonly nowMs: number; readonly priorityOf: PriorityOf },
): AlarmStep | null {
  if (!isActive(record) || record.priority === 'high' || nowMs % EVERY_MS >= TURN_MS) return null;
  // what is held off would call nobody; of a consequence, high priority makes the first of its group
  if (record.suppressedBy !== null && record.suppressedBy.why !== 'consequence') return null;
  return priorityOf(record) === 'high' ? withPriority(record, 'high') : null;
}
