import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, MINUTE_MS } from '../rule.ts';

/** Air above the ceiling of its place: cuttings without roots cook. */
export const airOverCeiling = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'air-over-ceiling',
  name: 'air over its ceiling',
  measured: 'air',
  priority: 'high',
  respondWithinMin: 15,
  harm: 'air-over-ceiling',
  asksAtOnce: true,
  group: 'heat',
  fromFirst: true,
  cause: 'Usually the sun has come on it.',
  consequence: 'Cuttings without roots wilt, then cook: minutes to two hours.',
  action: 'Shade it first, then open vents and any cover.',
  unit: 'Cel',
  sense: 'above',
  deadband: 0.5,
  onDelayMs: MINUTE_MS,
  halving: 5,
  watches: { each: 'probe', quantities: ['air/temperature'] },
  limitAt: ({ targets }) => targets.air.ceilingC,
  range: { min: 15, max: 40, step: 0.1, begin: 27 },
  clause: { is: 'air over ceiling', was: 'air was over ceiling (ended)' },
  active: ({ value, far, lasts, trend }) => `air ${value}, ${far} above its ceiling${lasts}${trend}`,
  cleared: 'air is back below its ceiling',
  afterwards: 'Look at the leaves: limp ones need mist and shade.',
});
