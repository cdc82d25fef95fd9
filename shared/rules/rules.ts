import { airBelowBandAtNight } from './air/air-below-band-at-night.ts';
import { airBelowBandByDay } from './air/air-below-band-by-day.ts';
import { airFarOverCeiling } from './air/air-far-over-ceiling.ts';
import { airFarTooCold } from './air/air-far-too-cold.ts';
import { airOverCeiling } from './air/air-over-ceiling.ts';
import { airWarmerThanRoot } from './air/air-warmer-than-root.ts';
import { ceilingExpected } from './air/ceiling-expected.ts';
import {
  type AlarmRule,
  type HouseRule,
  type LimitRule,
  SETTABLE_RULES,
  type SettableRule,
  type WatchRule,
} from './ids.ts';
import { clockJumped } from './installation/clock-jumped.ts';
import { contactMethodFailing } from './installation/contact-method-failing.ts';
import { messageSetAside } from './installation/message-set-aside.ts';
import { monitoringFault } from './installation/monitoring-fault.ts';
import { recordNotWritable } from './installation/record-not-writable.ts';
import { restoreIncomplete } from './installation/restore-incomplete.ts';
import { testUnconfirmed } from './installation/test-unconfirmed.ts';
import { watchWasDown } from './installation/watch-was-down.ts';
import { filmDryingExpected } from './leaves/film-drying-expected.ts';
import { lightOverPeak } from './leaves/light-over-peak.ts';
import { mistStuckOn } from './leaves/mist-stuck-on.ts';
import { mistWithoutWater } from './leaves/mist-without-water.ts';
import { noMistInLight } from './leaves/no-mist-in-light.ts';
import { saturatedTooLong } from './leaves/saturated-too-long.ts';
import { ventLeftOpen } from './leaves/vent-left-open.ts';
import { vpdAboveBandInLight } from './leaves/vpd-above-band-in-light.ts';
import { rootBelowBand } from './root-zone/root-below-band.ts';
import { rootFallingTowardsAir } from './root-zone/root-falling-towards-air.ts';
import { rootFloorExpected } from './root-zone/root-floor-expected.ts';
import { rootTooHot } from './root-zone/root-too-hot.ts';
import { rootZoneFarTooCold } from './root-zone/root-zone-far-too-cold.ts';
import type { AlarmPriority, LimitRuleDefinition, RuleDefinition } from './rule.ts';
import { noData } from './watch/no-data.ts';
import { powerBack } from './watch/power-back.ts';
import { probeSilent } from './watch/probe-silent.ts';
import { probeSuspect } from './watch/probe-suspect.ts';

export {
  ALARM_RULES,
  type AlarmRule,
  HOUSE_RULES,
  LIMIT_RULES,
  type LimitRule,
  SETTABLE_RULES,
  type SettableRule,
} from './ids.ts';
export type { AlarmPriority, LimitRuleDefinition, Moment } from './rule.ts';

/** Every rule of a limit. Delays and deadbands start from [ALARM-START]; the longer ones are proposals of the project. */
export const LIMIT_RULE_DEFINITIONS = {
  'air-over-ceiling': airOverCeiling,
  'air-far-over-ceiling': airFarOverCeiling,
  'air-below-band-at-night': airBelowBandAtNight,
  'air-below-band-by-day': airBelowBandByDay,
  'air-far-too-cold': airFarTooCold,
  'root-too-hot': rootTooHot,
  'root-below-band': rootBelowBand,
  'root-zone-far-too-cold': rootZoneFarTooCold,
  'root-falling-towards-air': rootFallingTowardsAir,
  'vpd-above-band-in-light': vpdAboveBandInLight,
  'no-mist-in-light': noMistInLight,
  'mist-without-water': mistWithoutWater,
  'mist-stuck-on': mistStuckOn,
  'vent-left-open': ventLeftOpen,
  'saturated-too-long': saturatedTooLong,
  'air-warmer-than-root': airWarmerThanRoot,
  'light-over-peak': lightOverPeak,
} satisfies { [Id in LimitRule]: LimitRuleDefinition<Id> };

const OTHER_RULE_DEFINITIONS = {
  'no-data': noData,
  'probe-silent': probeSilent,
  'power-back': powerBack,
  'probe-suspect': probeSuspect,
  'ceiling-expected': ceilingExpected,
  'root-floor-expected': rootFloorExpected,
  'film-drying-expected': filmDryingExpected,
  'watch-was-down': watchWasDown,
  'way-failing': contactMethodFailing,
  'test-unconfirmed': testUnconfirmed,
  'record-not-writable': recordNotWritable,
  'clock-jumped': clockJumped,
  'message-set-aside': messageSetAside,
  'restore-incomplete': restoreIncomplete,
  'monitoring-fault': monitoringFault,
} satisfies { [Id in WatchRule | HouseRule]: RuleDefinition<Id> };

/** Every rule, by its id. */
export const RULES: Readonly<Record<AlarmRule, RuleDefinition>> = {
  ...LIMIT_RULE_DEFINITIONS,
  ...OTHER_RULE_DEFINITIONS,
};

/** True for a rule that holds a number against a limit. */
export function isLimitRule(rule: AlarmRule): rule is LimitRule {
  return rule in LIMIT_RULE_DEFINITIONS;
}

/** True for a rule that a place may set otherwise. */
export function isSettableRule(rule: AlarmRule): rule is SettableRule {
  return SETTABLE_RULES.some((one) => one === rule);
}

/** A repeating alarm is announced like any other once it has been quiet for so long. PROPOSAL. */
export const CHATTER_QUIET_MS = 10 * 60_000;

/** After so long an active alarm counts as unacknowledged again; never for low priority. PROPOSAL. */
export const RE_ALARM_MS: Readonly<Record<AlarmPriority, number | null>> = {
  high: 15 * 60_000,
  medium: 3_600_000,
  low: null,
};
