import { bandAt } from '../../model/target-band.ts';
import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, MINUTE_MS } from '../rule.ts';

/** Air below its band by night. */
export const airBelowBandAtNight = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'air-below-band-at-night',
  name: 'air below its band at night',
  measured: 'air',
  priority: 'medium',
  respondWithinMin: 120,
  harm: 'air-below-band',
  group: null,
  cause: 'Usually the heating is off, or a cover or a door is open.',
  consequence: 'Rooting slows; tender kinds are chilled below about 10 °C.',
  action: 'Close the cover, then check the heating.',
  unit: 'Cel',
  sense: 'below',
  deadband: 0.5,
  onDelayMs: 30 * MINUTE_MS,
  halving: 3,
  watches: { each: 'probe', quantities: ['air/temperature'] },
  limitAt: (moment) => (moment.night ? bandAt(moment, 'air').lowC : null),
  range: { min: 0, max: 25, step: 0.1, begin: 13 },
  clause: { is: 'air too cold', was: 'air was too cold' },
  active: ({ value, far, lasts, trend }) => `air ${value}, ${far} below its night band${lasts}${trend}`,
  cleared: 'air is back in its night band',
});
