import { LIMIT_SHEETS, type LimitRule } from '../../../shared/model/alarm-rules.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import type { Limit } from './condition.ts';

/** A rule as it holds at a place. */
export type HeldRule = Limit & { readonly rule: LimitRule; readonly on: boolean; readonly latching: boolean };

/** What decides which limit holds at a moment: night by the targets, light by the probe, else by the targets. */
export type Moment = { readonly targets: Targets; readonly night: boolean; readonly light: boolean };

/** Air this hot needs no ceiling to be an emergency, °C; a proposal of the project. */
const CRITICAL_AIR_C = 38;
const FAR_OVER_K = 5;
/** Default, adjust: above this most roots stop or brown, °C; the starting sheets’ figure. */
const ROOT_CEILING_C = 30;
/** A root zone that falls faster than this towards its air, with no other reason, has lost its heat, K/h. Proposal. */
const FALLING_K_PER_H = 1;
/** A vent that was not shut again after this long was forgotten, h. Common practice, no source. */
const VENT_OPEN_H = 2;

/**
 * How a place holds a rule: the rule's own sheet, what the place sets otherwise, what the targets ask for.
 * @example heldRule('root-below-band', { settings, targets }).onDelayMs // 7200000
 */
export function heldRule(
  rule: LimitRule,
  { settings, targets }: { settings: PlaceSettings; targets: Targets },
): HeldRule {
  const { sense, halving, ...sheet } = LIMIT_SHEETS[rule];
  const set = settings.alarms[rule] ?? {};
  const ceiling = settings.ceilingAlarm;
  const base =
    rule === 'air-over-ceiling'
      ? { onDelayMs: ceiling.onDelayMs, offDelayMs: ceiling.offDelayMs, deadband: ceiling.deadbandK }
      : sheet;
  const asked = rule === 'saturated-too-long' && targets.alarms?.saturatedHours !== undefined;
  return {
    ...{ rule, sense, halving },
    on: set.on ?? (asked || sheet.on),
    onDelayMs: set.onDelayMs ?? base.onDelayMs,
    offDelayMs: set.offDelayMs ?? base.offDelayMs,
    deadband: set.deadband ?? base.deadband,
    latching: set.latching ?? sheet.latching,
  };
}

/**
 * The limit of a rule at a moment, in the unit of the rule; null where nothing is asked then.
 * @example limitAt('air-far-over-ceiling', { targets, night: false, light: true }) // 31.7 with a ceiling of 26.7
 */
export function limitAt(rule: LimitRule, { targets, night, light }: Moment): number | null {
  const half = night ? 'night' : 'day';
  const asked = targets.alarms ?? {};
  switch (rule) {
    case 'air-over-ceiling':
      return targets.air.ceilingC;
    case 'air-far-over-ceiling':
      return farOver(targets.air.ceilingC, asked.farOverK ?? FAR_OVER_K);
    case 'air-below-band-at-night':
      return night ? targets.air.night.lowC : null;
    case 'root-too-hot':
      return asked.rootZoneCeilingC ?? Math.max(ROOT_CEILING_C, targets.rootZone[half].highC + 2);
    case 'root-below-band':
      return targets.rootZone[half].lowC;
    case 'root-falling-towards-air':
      return FALLING_K_PER_H;
    case 'vpd-above-band-in-light':
      return light ? targets.vpd.highKpa : null;
    case 'no-mist-in-light':
      return light ? 0 : null;
    case 'vent-left-open':
      return VENT_OPEN_H;
    case 'saturated-too-long':
      return asked.saturatedHours ?? null;
    case 'air-warmer-than-root':
      return 0;
    case 'light-over-peak':
      return asked.peakPpfdUmolM2S ?? null;
  }
}

function farOver(ceilingC: number, farOverK: number): number {
  const far = ceilingC + farOverK;
  return ceilingC < CRITICAL_AIR_C ? Math.min(far, CRITICAL_AIR_C) : far;
}
