import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS } from '../rule.ts';

/**
 * So much cold of the root zone is worth a call in the night, °C·h below its band. PROPOSAL of the project: an eighth of a
 * day of rooting lost, where the rate falls in a straight line to nothing over 10 K.
 */
const ROOT_ZONE_COLD_DEGREE_HOURS = 30;

/** A root zone so long, or so far, below its band that the night costs the batch a part of a day. */
export const rootZoneFarTooCold = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'root-zone-far-too-cold',
  name: 'root zone far too cold',
  measured: 'cold of the root zone',
  priority: 'high',
  respondWithinMin: 480,
  harm: 'root-zone-below-band',
  group: 'cold-root',
  needsMat: true,
  waitsForAnswers: true,
  saysMore: true,
  cause: 'Usually the mat is off: plug, residual-current switch, thermostat, in that order.',
  consequence: 'Rooting stands still; each night like it costs the batch a part of a day.',
  action: 'Check whether the mat is warm; then its plug, residual-current switch and thermostat.',
  unit: 'K.h',
  sense: 'above',
  deadband: 0,
  onDelayMs: 0,
  offDelayMs: 0,
  watches: { each: 'place', quantities: ['root/temperature'] },
  limitAt: ({ targets }) => targets.alarms?.rootZoneColdDegreeHours ?? ROOT_ZONE_COLD_DEGREE_HOURS,
  range: { min: 1, max: 200, step: 1, begin: 30 },
  clause: { is: 'root zone far too cold', was: 'root zone was far too cold (ended)' },
  active: ({ value }) => `root zone far too cold: below its band by ${value}`,
  nowWorse: ({ value }) =>
    `root zone now far too cold, below its band by ${value}: rooting stands still, and the night costs a part of a day`,
  cleared: 'the root zone is back in its band',
  clearedByLimit: 'the root zone did not warm up; its band is lower now, and it is within it',
});
