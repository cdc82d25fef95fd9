import {
  isLimitRule,
  LIMIT_RULE_DEFINITIONS,
  type LimitRuleDefinition,
} from '../../../shared/rules/rules.ts';
import { isMet } from '../../domain/alarms/condition.ts';
import { lapseOf } from '../../domain/alarms/limit-alarm.ts';
import { firstInGroup } from '../../domain/alarms/nuisance/groups.ts';
import { type AlarmRecord, type AlarmStep, isActive, type Suppression } from '../../domain/alarms/record.ts';
import { WHOLE_PLACE } from '../../domain/alarms/signals.ts';
import { VENT_MEANT_MS } from '../../domain/vents/held-off.ts';
import type { Store } from '../../ports.ts';
import type { World } from '../world/world.ts';
import { coverOpenSince } from './open-covers.ts';
import type { PriorityOf } from './priority.ts';

type SuppressContext = { readonly world: World; readonly store: Store; readonly nowMs: number };

/** A raised alarm with its priority, and with what suppresses it by design from its first moment. */
export function asRaised(
  step: AlarmStep,
  context: SuppressContext & { readonly priorityOf: PriorityOf },
): AlarmStep {
  if (step.transition !== 'raised') return step;
  const record = { ...step.record, priority: context.priorityOf(step.record) };
  return { ...step, record: { ...record, suppressedBy: suppressionOf(record, context) } };
}

/** Why the rules themselves keep an alarm from being announced now, or null. */
export function suppressionOf(record: AlarmRecord, context: SuppressContext): Suppression | null {
  if (!isActive(record)) return null;
  const { rule } = record;
  const lapse = lapseOf(record) ?? awayOf(record, context);
  if (lapse) return { why: 'lapsed', sinceMs: lapse.sinceMs, reason: lapse.why };
  const targetSheet: LimitRuleDefinition | null = isLimitRule(rule) ? LIMIT_RULE_DEFINITIONS[rule] : null;
  const place = context.world.places.get(record.placeId ?? '');
  if (targetSheet?.waitsForAnswers && place?.settings.questionsOpen) return { why: 'questions-open' };
  if (targetSheet?.heldOffByVent && isVented(record, context)) return { why: 'vent' };
  const sinceMs = targetSheet?.heldOffByVent && place ? coverOpenSince(place, context) : null;
  if (sinceMs !== null) return { why: 'vent', sinceMs };
  const first = firstInGroup(record, context.world.alarms.values(), context.nowMs);
  return first === null ? null : { why: 'consequence', of: first };
}

/** Since when all probes that an alarm rests on are in a bath or jar: what they read there says nothing of their place. */
function awayOf(
  { conditions }: AlarmRecord,
  { world, nowMs }: SuppressContext,
): { sinceMs: number; why: string } | null {
  const met = Object.entries(conditions).filter(([, condition]) => isMet(condition));
  const away = met.filter(([source]) => source !== WHOLE_PLACE && world.isAway(Number(source), nowMs));
  if (met.length === 0 || away.length < met.length) return null;
  const sinceMs = Math.max(...met.map(([, { lastMs }]) => lastMs));
  return { sinceMs, why: 'not judged while its probe is being checked' };
}

function isVented({ placeId }: AlarmRecord, { store, nowMs }: SuppressContext): boolean {
  if (placeId === null) return false;
  return store.diary
    .vents(placeId)
    .some(({ fromMs, toMs }) => fromMs <= nowMs && nowMs < (toMs ?? fromMs + VENT_MEANT_MS));
}
