import type { Place } from '../../../shared/model/place.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import {
  LIMIT_RULE_DEFINITIONS,
  type LimitRule,
  type LimitRuleDefinition,
} from '../../../shared/rules/rules.ts';
import type { Limit } from './condition.ts';

/** A rule as it holds at a place. */
export type HeldRule = Limit & { readonly rule: LimitRule; readonly on: boolean; readonly latching: boolean };

/**
 * How a place holds a rule: the rule's own sheet, what the place sets otherwise, what the targets ask for.
 * @example heldRule('root-below-band', { place, targets }).onDelayMs // 7200000
 */
export function heldRule(
  rule: LimitRule,
  { place, targets }: { place: Pick<Place, 'kind' | 'settings'>; targets: Targets },
): HeldRule {
  const definition: LimitRuleDefinition = LIMIT_RULE_DEFINITIONS[rule];
  const { settings } = place;
  const set = settings.alarms[rule] ?? {};
  return {
    rule,
    sense: definition.sense,
    halving: definition.halving,
    on:
      set.on ??
      ((isSetByTargets(definition, targets) || definition.on) &&
        !(definition.needsMat && settings.mat === false)),
    onDelayMs: set.onDelayMs ?? definition.onDelayMs,
    offDelayMs: set.offDelayMs ?? offDelayAt(place, definition),
    deadband: set.deadband ?? definition.deadband,
    latching: set.latching ?? definition.latching,
  };
}

function offDelayAt({ kind }: Pick<Place, 'kind'>, definition: LimitRuleDefinition): number {
  const { offDelayMs, offDelayUnderMistMs = offDelayMs } = definition;
  return kind === 'bench' ? offDelayUnderMistMs : offDelayMs;
}

function isSetByTargets({ byTargets, limitAt }: LimitRuleDefinition, targets: Targets): boolean {
  return byTargets === true && limitAt({ targets, night: false, light: true }) !== null;
}
