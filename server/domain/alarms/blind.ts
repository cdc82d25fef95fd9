import type { Place } from '../../../shared/model/place.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import { LIMIT_RULE_DEFINITIONS, LIMIT_RULES, type LimitRule } from '../../../shared/rules/rules.ts';
import { heldRule } from './limits.ts';
import { SAMPLERS } from './rules/registry.ts';

/** What a place has, and what of it reports. */
type Probes = {
  readonly place: Place;
  readonly targets: Targets;
  readonly all: ReadonlySet<ProbeQuantityName>;
  readonly reporting: ReadonlySet<ProbeQuantityName>;
};

/**
 * Rules that a place is judged by, and that cannot be judged by the probes that report now.
 * @example blindRules({ place, targets, all: new Set(['air/temperature']), reporting: new Set() }) // ['air-over-ceiling', …]
 */
export function blindRules({ place, targets, all, reporting }: Probes): LimitRule[] {
  return LIMIT_RULES.filter((rule) => {
    if (!heldRule(rule, { place, targets }).on) return false;
    const sampler = SAMPLERS[rule];
    if (sampler.by === 'record' && sampler.expected?.(place, all) === false) return false;
    return canBeJudged(rule, place, all) && !isJudgedBy(rule, place, { all, reporting });
  });
}

function isJudgedBy(rule: LimitRule, place: Place, { all, reporting }: Omit<Probes, 'place' | 'targets'>) {
  const sampler = SAMPLERS[rule];
  const first = sampler.by === 'record' ? sampler.firstBy : undefined;
  // where there is a valve, nothing else is asked for its pulses
  if (first !== undefined && all.has(first)) return reporting.has(first);
  return canBeJudged(rule, place, reporting);
}

function canBeJudged(rule: LimitRule, place: Place, known: ReadonlySet<ProbeQuantityName>): boolean {
  const sampler = SAMPLERS[rule];
  switch (sampler.by) {
    case 'probe':
      return LIMIT_RULE_DEFINITIONS[rule].watches.quantities.some((quantity) => known.has(quantity));
    case 'place':
      return sampler.pair.every((quantity) => known.has(quantity));
    case 'record':
      return sampler.applies(place, known);
  }
}
