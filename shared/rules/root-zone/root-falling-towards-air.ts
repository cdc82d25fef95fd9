import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, MINUTE_MS } from '../rule.ts';

/** A root zone that falls faster than this towards its air, with no other reason, has lost its heat, K/h. Proposal. */
const FALLING_K_PER_H = 1;

/** A root zone that cools towards its air: the bottom heat has stopped. */
export const rootFallingTowardsAir = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'root-falling-towards-air',
  name: 'root zone falling towards air',
  measured: 'root zone cooling',
  priority: 'medium',
  respondWithinMin: 240,
  harm: 'root-zone-below-band',
  group: 'cold-root',
  needsMat: true,
  waitsForAnswers: true,
  cause: 'Usually the mat is off, or it was watered cold.',
  consequence: 'The root zone will be as cold as the air within hours: rooting slows.',
  action: 'Check whether the mat is warm; then its plug, residual-current switch and thermostat.',
  unit: 'K/h',
  sense: 'above',
  deadband: 0.3,
  onDelayMs: 20 * MINUTE_MS,
  watches: { each: 'probe', quantities: ['root/temperature'] },
  limitAt: () => FALLING_K_PER_H,
  range: { min: 0.2, max: 5, step: 0.1, begin: 1 },
  clause: { is: 'bottom heat failing', was: 'the root zone was falling' },
  active: ({ value }) => `root zone falling towards the air by ${value}`,
  cleared: 'the root zone has stopped falling; it may still be too cold',
});
