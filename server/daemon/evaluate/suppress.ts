import {
  isLimitRule,
  LIMIT_RULE_DEFINITIONS,
  type LimitRuleDefinition,
} from '../../../shared/rules/rules.ts';
import { firstInGroup } from '../../domain/alarms/groups.ts';
import { type AlarmRecord, type AlarmStep, isActive, type Suppression } from '../../domain/alarms/record.ts';
import { VENT_MEANT_MS } from '../../domain/vents/held-off.ts';
import type { Store } from '../../ports.ts';
import type { World } from '../world/world.ts';
<<<<<<< 57536026c3e0bc40beef27cc7d1cb18be14d09dc
import type { PriorityOf } from './priority.ts';

type SuppressContext = { readonly world: World; readonly store: Store; readonly nowMs: number };

/** A vent that was written down as opened and never as shut means dry air for this long at most. Proposal. */
const VENT_MEANT_MS = 2 * 3_600_000;

/** A raised alarm with its priority, and with what suppresses it by design from its first moment. */
export function asRaised(
  step: AlarmStep,
  context: SuppressContext & { readonly priorityOf: PriorityOf },
): AlarmStep {
=======
import { coverOpenSince } from './open-covers.ts';

type SuppressContext = { readonly world: World; readonly store: Store; readonly nowMs: number };

/** A raised alarm with what suppresses it by design from its first moment, so that nobody is told of it. */
export function asRaised(step: AlarmStep, context: SuppressContext): AlarmStep {
>>>>>>> 8142fa8e2855485c001d7c3f310d0552f9f316a1
  if (step.transition !== 'raised') return step;
  const record = { ...step.record, priority: context.priorityOf(step.record) };
  return { ...step, record: { ...record, suppressedBy: suppressionOf(record, context) } };
}

/** Why the rules themselves keep an alarm from being told now, or null. */
export function suppressionOf(record: AlarmRecord, context: SuppressContext): Suppression | null {
  if (!isActive(record)) return null;
  const { rule } = record;
  const targetSheet: LimitRuleDefinition | null = isLimitRule(rule) ? LIMIT_RULE_DEFINITIONS[rule] : null;
  const place = context.world.places.get(record.placeId ?? '');
  if (targetSheet?.waitsForAnswers && place?.settings.questionsOpen) return { why: 'questions-open' };
  if (targetSheet?.heldOffByVent && isVented(record, context)) return { why: 'vent' };
  const sinceMs = targetSheet?.heldOffByVent && place ? coverOpenSince(place, context) : null;
  if (sinceMs !== null) return { why: 'vent', sinceMs };
  const first = firstInGroup(record, context.world.alarms.values(), context.nowMs);
  return first === null ? null : { why: 'consequence', of: first };
}

function isVented({ placeId }: AlarmRecord, { store, nowMs }: SuppressContext): boolean {
  if (placeId === null) return false;
  return store.diary
    .vents(placeId)
    .some(({ fromMs, toMs }) => fromMs <= nowMs && nowMs < (toMs ?? fromMs + VENT_MEANT_MS));
}
