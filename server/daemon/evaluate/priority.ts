import type { NoDataFacts } from '../../../shared/rules/facts.ts';
import { type AlarmPriority, RULES } from '../../../shared/rules/rules.ts';
import { type AlarmRecord, type AlarmStep, isActive, withPriority } from '../../domain/alarms/record.ts';
import { createStakes, setPriority } from '../readout/alarms/stake.ts';
import type { QueryContext } from '../readout/present.ts';

/** The priority an alarm has now: as its place sets it, else its rule's own, raised by harm and never lowered. */
export type PriorityOf = (record: AlarmRecord) => AlarmPriority;

/** Priorities are checked again so often, ms: harm is a matter of minutes. */
const EVERY_MS = 10_000;
const TURN_MS = 1_000;

/** Priorities as they follow from what is measured. */
export function createPriorities(context: QueryContext): PriorityOf {
  const stakeNow = createStakes(context);
  return (record) => {
    const { placeId, rule, facts } = record;
    const place = placeId === null ? undefined : context.world.places.get(placeId);
    const set = place && setPriority(rule, place, context);
    if (set) return set;
    if (rule === 'probe-silent' && facts?.kind === 'no-data') return ofSilentProbes(facts);
    return stakeNow(record) === null ? RULES[rule].priority : 'high';
  };
}

/** A silent probe on which nothing rests can wait for the morning; one without which nobody sees the heat cannot. */
function ofSilentProbes({ blind = [], matters }: NoDataFacts): AlarmPriority {
  if (matters) return 'high';
  return blind.length > 0 ? RULES['probe-silent'].priority : 'low';
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
