import type { PlaceSettings } from '../../../shared/model/place.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import { LIMIT_SHEETS, type LimitRule, type LimitSheet } from '../../../shared/rules/rules.ts';
import type { Limit } from './condition.ts';

/** A rule as it holds at a place. */
export type HeldRule = Limit & { readonly rule: LimitRule; readonly on: boolean; readonly latching: boolean };

/**
 * How a place holds a rule: the rule's own sheet, what the place sets otherwise, what the targets ask for.
 * @example heldRule('root-below-band', { settings, targets }).onDelayMs // 7200000
 */
export function heldRule(
  rule: LimitRule,
  { settings, targets }: { settings: PlaceSettings; targets: Targets },
): HeldRule {
  const sheet: LimitSheet = LIMIT_SHEETS[rule];
  const set = settings.alarms[rule] ?? {};
  return {
    rule,
    sense: sheet.sense,
    halving: sheet.halving,
    on:
      set.on ?? ((isAskedBySheet(sheet, targets) || sheet.on) && !(sheet.needsMat && settings.mat === false)),
    onDelayMs: set.onDelayMs ?? sheet.onDelayMs,
    offDelayMs: set.offDelayMs ?? sheet.offDelayMs,
    deadband: set.deadband ?? sheet.deadband,
    latching: set.latching ?? sheet.latching,
  };
}

function isAskedBySheet({ bySheet, limitAt }: LimitSheet, targets: Targets): boolean {
  return bySheet === true && limitAt({ targets, night: false, light: true }) !== null;
}
