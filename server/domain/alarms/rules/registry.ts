import type { ProbeQuantityName } from '../../../../shared/quantities.ts';
import {
  LIMIT_RULE_DEFINITIONS,
  LIMIT_RULES,
  type LimitRule,
  type LimitRuleDefinition,
} from '../../../../shared/rules/rules.ts';
import { airBelowBandAtNight } from './air/air-below-band-at-night.ts';
import { airBelowBandByDay } from './air/air-below-band-by-day.ts';
import { airFarOverCeiling } from './air/air-far-over-ceiling.ts';
import { airFarTooCold } from './air/air-far-too-cold.ts';
import { airOverCeiling } from './air/air-over-ceiling.ts';
import { airWarmerThanRoot } from './air/air-warmer-than-root.ts';
import { lightOverPeak } from './leaves/light-over-peak.ts';
import { mistStuckOn } from './leaves/mist-stuck-on.ts';
import { mistWithoutWater } from './leaves/mist-without-water.ts';
import { noMistInLight } from './leaves/no-mist-in-light.ts';
import { saturatedTooLong } from './leaves/saturated-too-long.ts';
import { ventLeftOpen } from './leaves/vent-left-open.ts';
import { vpdAboveBandInLight } from './leaves/vpd-above-band-in-light.ts';
import { rootBelowBand } from './root-zone/root-below-band.ts';
import { rootFallingTowardsAir } from './root-zone/root-falling-towards-air.ts';
import { rootTooHot } from './root-zone/root-too-hot.ts';
import { rootZoneFarTooCold } from './root-zone/root-zone-far-too-cold.ts';
import type { Sampler } from './sampler.ts';

/** How every rule of a limit is sampled, live and over the past. */
export const SAMPLERS: Readonly<Record<LimitRule, Sampler>> = {
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
};

const LIGHT: readonly ProbeQuantityName[] = ['light/ppfd', 'light/illuminance'];
type Feeds = { readonly each: readonly LimitRule[]; readonly place: readonly LimitRule[] };
const NOTHING: Feeds = { each: [], place: [] };

/** Which rules a reading of a quantity bears on: of its own probe, and of the place as a whole. */
const FED_BY = new Map<ProbeQuantityName, Feeds>();
for (const rule of LIMIT_RULES) {
  const { by } = SAMPLERS[rule];
  if (by === 'record') continue;
  for (const quantity of LIMIT_RULE_DEFINITIONS[rule].watches.quantities) {
    const { each, place } = FED_BY.get(quantity) ?? NOTHING;
    const fed = by === 'probe' ? { each: [...each, rule], place } : { each, place: [...place, rule] };
    FED_BY.set(quantity, fed);
  }
}

/** Which rules a reading of a quantity bears on. */
export function fedBy(quantity: ProbeQuantityName): Feeds {
  return FED_BY.get(quantity) ?? NOTHING;
}

/** Rules that are evaluated every few minutes, from the record of the last hours. */
export const RECORD_RULES: readonly LimitRule[] = LIMIT_RULES.filter(
  (rule) => SAMPLERS[rule].by === 'record',
);

/** Every quantity a rule rests on. */
export function restsOn(rule: LimitRule): ProbeQuantityName[] {
  const { watches, inLight }: LimitRuleDefinition = LIMIT_RULE_DEFINITIONS[rule];
  return [...new Set([...watches.quantities, ...SAMPLERS[rule].beside, ...(inLight ? LIGHT : [])])];
}
