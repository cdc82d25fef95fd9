import { FAR_TOO_COLD_C } from '../../harm/scale.ts';
import { bandAt } from '../../model/target-band.ts';
import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, MINUTE_MS } from '../rule.ts';

/** Air that chills the cuttings themselves. */
export const airFarTooCold = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'air-far-too-cold',
  name: 'air far too cold',
  measured: 'air',
  priority: 'high',
  respondWithinMin: 60,
  harm: 'air-far-too-cold',
  asksAtOnce: true,
  group: 'cold-air',
  saysMore: true,
  fromFirst: true,
  cause: 'Usually the heating is off, or a cover or a door is open in the cold.',
  consequence: 'Tender kinds are chilled within hours; frost kills.',
  action: 'Close vents and any cover now, then heat it.',
  unit: 'Cel',
  sense: 'below',
  deadband: 0.5,
  onDelayMs: 5 * MINUTE_MS,
  halving: 3,
  watches: { each: 'probe', quantities: ['air/temperature'] },
  // 8 to 12 °C chills tropical tissue; never above the band: hardy kinds are kept cooler than that on purpose
  limitAt: (moment) =>
    moment.targets.alarms?.airFarTooColdC ?? Math.min(FAR_TOO_COLD_C, bandAt(moment, 'air').lowC),
  range: { min: -5, max: 20, step: 0.1, begin: 10 },
  clause: { is: 'air far too cold', was: 'air was far too cold (ended)' },
  active: ({ value, lasts, trend }) => `air ${value}, far too cold${lasts}${trend}`,
  nowWorse: ({ value, trend }) =>
    `air ${value}, now far too cold${trend}: tender kinds are chilled within hours`,
  cleared: 'air is no longer far too cold',
  afterwards: 'Look at the leaves in a day or two: glassy or dark spots are chilling.',
});
