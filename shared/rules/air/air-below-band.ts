import { bandAt } from '../../model/target-band.ts';
import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, type LimitRuleDefinition, type Moment } from '../rule.ts';

/** The half of the day whose rule raises an alarm; the wire has a name for each. */
type Of<Id extends string> = {
  readonly id: Id;
  readonly half: 'day' | 'night';
  readonly name: string;
  readonly onDelayMs: number;
  readonly halving: number;
  readonly begin: number;
};

/**
 * Air below its band, by day or by night: one rule with two names. What is raised in one half is held to the band of the
 * other as well, so that neither dusk nor dawn ends it.
 */
export function airBelowBand<const Id extends string>(of: Of<Id>): LimitRuleDefinition<Id> {
  const { id, half, name, onDelayMs, halving, begin } = of;
  const lowC = (moment: Moment) => bandAt(moment, 'air').lowC;
  return limitRule({
    ...LIMIT_DEFAULTS,
    id,
    name,
    measured: 'air',
    priority: 'medium',
    respondWithinMin: 120,
    harm: 'air-below-band',
    group: 'cold-air',
    cause: 'Usually the heating is off, or a cover or a door is open.',
    consequence: 'Rooting slows; tender kinds are chilled below about 10 °C.',
    action: 'Close vents and any cover, then check the heating.',
    unit: 'Cel',
    sense: 'below',
    deadband: 0.5,
    onDelayMs,
    halving,
    watches: { each: 'probe', quantities: ['air/temperature'] },
    limitAt: (moment) => (moment.night === (half === 'night') ? lowC(moment) : null),
    holdAt: lowC,
    range: { min: 0, max: 25, step: 0.1, begin },
    clause: { is: 'air too cold', was: 'air was too cold' },
    active: ({ value, far, lasts, trend }) => `air ${value}, ${far} below its band${lasts}${trend}`,
    cleared: 'air is back in its band',
  });
}
