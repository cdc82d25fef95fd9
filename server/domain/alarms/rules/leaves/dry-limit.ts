import type { LimitRuleDefinition, Moment } from '../../../../../shared/rules/rule.ts';
import type { LimitSample } from '../sampler.ts';

/** The limit of a rule about mist that stays away, min, and whose time without mist it follows from where it is theirs. */
export function dryLimitAt(
  { limitAt }: Pick<LimitRuleDefinition, 'limitAt'>,
  moment: Moment,
): Pick<LimitSample, 'limit' | 'unmisted'> {
  const limit = limitAt(moment);
  const { unmisted } = moment;
  if (!unmisted || limit === limitAt({ ...moment, unmisted: null })) return { limit };
  return { limit, unmisted };
}
