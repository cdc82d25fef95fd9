import { isLimitRule, LIMIT_SHEETS } from '../../../shared/rules/rules.ts';
import { isMet } from '../../domain/alarms/condition.ts';
import { firstInGroup } from '../../domain/alarms/groups.ts';
import { lapseOf } from '../../domain/alarms/limit-alarm.ts';
import { type AlarmRecord, type AlarmStep, type ByDesign, isActive } from '../../domain/alarms/record.ts';
import { WHOLE_PLACE } from '../../domain/alarms/signals.ts';
import type { Store } from '../../ports.ts';
import type { World } from '../world/world.ts';

type SuppressContext = { readonly world: World; readonly store: Store; readonly nowMs: number };

/** A vent that was written down as opened and never as shut means dry air for this long at most. Proposal. */
const VENT_MEANT_MS = 2 * 3_600_000;

/** A raised alarm with what suppresses it by design from its first moment, so that nobody is told of it. */
export function asRaised(step: AlarmStep, context: SuppressContext): AlarmStep {
  if (step.transition !== 'raised') return step;
  const byDesign = byDesignOf(step.record, context);
  return { ...step, record: { ...step.record, byDesign } };
}

/** Why the rules themselves keep an alarm from being told now, or null. */
export function byDesignOf(record: AlarmRecord, context: SuppressContext): ByDesign | null {
  if (!isActive(record)) return null;
  const { rule } = record;
  const lapse = lapseOf(record) ?? awayOf(record, context);
  if (lapse) return { why: 'lapsed', sinceMs: lapse.sinceMs, reason: lapse.why };
  if (isLimitRule(rule) && LIMIT_SHEETS[rule].heldOffByVent && isVented(record, context))
    return { why: 'vent' };
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
