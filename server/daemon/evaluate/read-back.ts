import { LIMIT_RULE_DEFINITIONS, type LimitRuleDefinition } from '../../../shared/rules/rules.ts';
import type { Condition } from '../../domain/alarms/condition.ts';
import { isReadBack, readBack } from '../../domain/alarms/limit-alarm.ts';
import { heldRule } from '../../domain/alarms/limits.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import type { Store } from '../../ports.ts';
import { type JudgeContext, momentsOf } from './judge.ts';

/**
 * Makes again, after a start, how much of a delay has elapsed with readings that are past a limit: it is not kept with
 * each of them, for the sake of a card. A reading that came late in that time counts here though it did not live.
 */
export function readBackDelays(context: JudgeContext & { readonly store: Store }): void {
  for (const record of context.world.alarms.values()) {
    const conditions = Object.entries(record.conditions).map(([source, condition]) => [
      source,
      condition.phase === 'arming' ? elapsed({ record, source, condition }, context) : condition,
    ]);
    context.world.alarms.set(record.id, { ...record, conditions: Object.fromEntries(conditions) });
  }
}

type PendingDelay = { readonly record: AlarmRecord; readonly source: string; readonly condition: Condition };

function elapsed(
  { record, source, condition }: PendingDelay,
  context: JudgeContext & { readonly store: Store },
): Condition {
  const { world, store } = context;
  const { rule, placeId } = record;
  const place = placeId === null ? undefined : world.places.get(placeId);
  const probeId = Number(source);
  const newest = world.latest.get(probeId);
  if (!place || !newest || !isReadBack(rule)) return condition;
  const span = { fromMs: condition.lastMs + 1, toMs: newest.tMs };
  const [readings] = store.journal.window({ probeIds: [probeId], ...span });
  if (!readings) return condition;
  const moments = momentsOf(place, context);
  const { limitAt }: LimitRuleDefinition = LIMIT_RULE_DEFINITIONS[rule];
  const samples = [...readings.timesMs].map((tMs, i) => ({
    tMs,
    value: readings.values[i] as number,
    limit: limitAt(moments(tMs)),
  }));
  const targets = world.targets(place.id, newest.tMs);
  return readBack(condition, samples, heldRule(rule, { place, targets }));
}
