import { bandAt } from '../../model/target-band.ts';
import { limitRule } from '../limit-rule.ts';
import { HOUR_MS, LIMIT_DEFAULTS } from '../rule.ts';

/** A root zone below its band for hours: roots wait. */
export const rootBelowBand = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'root-below-band',
  name: 'root zone below its band',
  measured: 'root zone',
  priority: 'medium',
  respondWithinMin: 480,
  harm: 'root-zone-below-band',
  group: 'cold-root',
  needsMat: true,
  waitsForAnswers: true,
  cause: 'Usually the mat is off.',
  consequence: 'Rooting slows; the batch is not lost.',
  action: 'Check whether the mat is warm; then its plug, residual-current switch and thermostat.',
  unit: 'Cel',
  sense: 'below',
  deadband: 0.3,
  onDelayMs: 2 * HOUR_MS,
  halving: 2,
  watches: { each: 'probe', quantities: ['root/temperature'] },
  limitAt: (moment) => bandAt(moment, 'rootZone').lowC,
  range: { min: 5, max: 30, step: 0.1, begin: 21 },
  clause: { is: 'root zone too cold for long', was: 'root zone was too cold for long' },
  active: ({ value, far, lasts, trend }) => `root zone ${value}, ${far} below its band${lasts}${trend}`,
  cleared: 'the root zone is back in its band',
});
