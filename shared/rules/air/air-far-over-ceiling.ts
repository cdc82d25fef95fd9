import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS } from '../rule.ts';

/** Air this hot needs no ceiling to be an emergency, °C; a proposal of the project. */
const CRITICAL_AIR_C = 38;
const FAR_OVER_K = 5;

function farOver(ceilingC: number, farOverK: number): number {
  const far = ceilingC + farOverK;
  return ceilingC < CRITICAL_AIR_C ? Math.min(far, CRITICAL_AIR_C) : far;
}

/** Air so far above the ceiling that the batch is lost within the hour: no delay. */
export const airFarOverCeiling = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'air-far-over-ceiling',
  name: 'air far over its ceiling',
  measured: 'air',
  priority: 'high',
  respondWithinMin: 5,
  harm: 'air-over-ceiling',
  asksAtOnce: true,
  group: 'heat',
  saysMore: true,
  fromFirst: true,
  cause: 'Usually full sun on a closed cover.',
  consequence: 'The batch is lost within the hour.',
  action: 'Shade it now, open vents and any cover, then mist lightly.',
  unit: 'Cel',
  sense: 'above',
  deadband: 0.5,
  onDelayMs: 0,
  watches: { each: 'probe', quantities: ['air/temperature'] },
  limitAt: ({ targets }) => farOver(targets.air.ceilingC, targets.alarms?.farOverK ?? FAR_OVER_K),
  range: { min: 20, max: 45, step: 0.1, begin: 32 },
  clause: { is: 'air far over ceiling', was: 'air was far over ceiling (ended)' },
  active: ({ value, trend }) => `air ${value}, far above its ceiling${trend}`,
  nowWorse: ({ value, trend }) =>
    `air ${value}, now far over its ceiling${trend}: the batch is lost within the hour`,
  cleared: 'air is no longer far over its ceiling',
  afterwards: 'Look at the leaves: limp ones need mist and shade.',
});
