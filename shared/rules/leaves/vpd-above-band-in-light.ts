import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, MINUTE_MS } from '../rule.ts';

/** Air too dry while light opens the pores of leaves. */
export const vpdAboveBandInLight = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'vpd-above-band-in-light',
  name: 'air too dry in light',
  measured: 'air VPD',
  priority: 'medium',
  respondWithinMin: 30,
  harm: 'vpd-above-band',
  group: 'dry',
  waitsForAnswers: true,
  heldOffByVent: true,
  inLight: true,
  cause: 'Usually a cover left open, mist that has stopped or too much sun.',
  consequence: 'Leaves lose water that no root can replace: wilting within the hour.',
  action: 'Mist by hand, close any cover, shade it.',
  unit: 'kPa',
  sense: 'above',
  deadband: 0.1,
  onDelayMs: 30 * MINUTE_MS,
  offDelayUnderMistMs: 30 * MINUTE_MS,
  halving: 0.2,
  watches: { each: 'place', quantities: ['air/temperature', 'air/humidity'] },
  limitAt: ({ targets, light }) => (light ? targets.vpd.highKpa : null),
  range: { min: 0.1, max: 3, step: 0.01, begin: 0.5 },
  clause: { is: 'air too dry', was: 'air was too dry' },
  active: ({ value, lasts }) => `air too dry: VPD ${value} in light${lasts}`,
  cleared: 'the air is damp enough again',
});
