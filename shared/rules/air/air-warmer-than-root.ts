import { limitRule } from '../limit-rule.ts';
import { HOUR_MS, LIMIT_DEFAULTS } from '../rule.ts';

/** Air warmer than the root zone for hours: tops grow before roots. */
export const airWarmerThanRoot = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'air-warmer-than-root',
  name: 'air warmer than the root zone',
  measured: 'air minus root zone',
  priority: 'low',
  respondWithinMin: 720,
  group: 'cold-root',
  waitsForAnswers: true,
  cause: 'Usually a warm room over a cold mat.',
  consequence: 'Tops grow before roots.',
  action: 'Cool the air, or warm the root zone.',
  unit: 'K',
  sense: 'above',
  deadband: 0.3,
  onDelayMs: 4 * HOUR_MS,
  on: false,
  watches: { each: 'place', quantities: ['air/temperature', 'root/temperature'] },
  limitAt: () => 0,
  range: { min: 0, max: 10, step: 0.1, begin: 0 },
  clause: { is: 'warmer above than below', was: 'warmer above than below' },
  active: ({ far, lasts }) => `air ${far} warmer than the root zone${lasts}`,
  cleared: 'the root zone is as warm as the air again',
});
