import type { HarmLimit } from '../harm/rate.ts';
import { FAR_TOO_COLD_C, HARM_KINDS, type HarmKind } from '../harm/scale.ts';
import { bandAt } from '../model/target-band.ts';
import type { Moment } from './rule.ts';
import { LIMIT_RULE_DEFINITIONS, type LimitRuleDefinition } from './rules.ts';

/** Where no rule watches a kind, min. */
const RESPOND_DEFAULT_MIN = 60;

/** In how many minutes an action still helps, by kind of harm: the shortest of its rules. */
export const RESPOND_WITHIN_MIN = Object.fromEntries(
  HARM_KINDS.map((kind) => {
    const sheets: readonly LimitRuleDefinition[] = Object.values(LIMIT_RULE_DEFINITIONS);
    const minutes = sheets
      .filter(({ harm }) => harm === kind)
      .map(({ respondWithinMin }) => respondWithinMin);
    return [kind, minutes.length > 0 ? Math.min(...minutes) : RESPOND_DEFAULT_MIN];
  }),
) as Readonly<Record<HarmKind, number>>;

/**
 * The limit beyond which a kind of harm counts at a moment, as the targets say, with the constants of the sheet where it
 * sets its own; null where none does, as for dry air by night.
 */
export function harmLimitAt(kind: HarmKind, moment: Omit<Moment, 'light'>): HarmLimit | null {
  const limit = plainLimitAt(kind, moment);
  const constants = moment.targets.harm?.[kind];
  return limit && constants ? { ...limit, constants } : limit;
}

function plainLimitAt(kind: HarmKind, moment: Omit<Moment, 'light'>): HarmLimit | null {
  const { targets, night } = moment;
  const limitOf = (rule: keyof typeof LIMIT_RULE_DEFINITIONS) => {
    const limit = LIMIT_RULE_DEFINITIONS[rule].limitAt({ ...moment, light: !night });
    return limit === null ? null : { kind, limit };
  };
  switch (kind) {
    case 'air-over-ceiling':
      return { kind, limit: targets.air.ceilingC };
    case 'root-zone-over-ceiling':
      return limitOf('root-too-hot');
    case 'air-far-too-cold':
      return limitOf('air-far-too-cold');
    case 'vpd-above-band':
      return night ? null : { kind, limit: targets.vpd.highKpa };
    case 'root-zone-below-band':
      return { kind, limit: bandAt(moment, 'rootZone').lowC };
    case 'air-below-band':
      return {
        kind,
        limit: bandAt(moment, 'air').lowC,
        farTooColdC: limitOf('air-far-too-cold')?.limit ?? FAR_TOO_COLD_C,
      };
  }
}
