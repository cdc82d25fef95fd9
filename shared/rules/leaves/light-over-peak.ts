import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, MINUTE_MS } from '../rule.ts';

/** Light above the peak that the sheet allows. */
export const lightOverPeak = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'light-over-peak',
  name: 'light over its peak',
  measured: 'light',
  priority: 'low',
  respondWithinMin: 60,
  group: null,
  byTargets: true,
  cause: 'Usually the shade is off.',
  consequence: 'Leaves bleach and heat up.',
  action: 'Draw the shade.',
  unit: 'umol/m2/s',
  sense: 'above',
  deadband: 10,
  onDelayMs: 5 * MINUTE_MS,
  offDelayMs: 5 * MINUTE_MS,
  watches: { each: 'probe', quantities: ['light/ppfd', 'light/illuminance'] },
  limitAt: ({ targets }) => targets.alarms?.peakPpfdUmolM2S ?? null,
  range: { min: 50, max: 1500, step: 10, begin: 300 },
  clause: { is: 'too much light', was: 'there was too much light' },
  active: ({ value, lasts }) => `light ${value}, above its peak${lasts}`,
  cleared: 'light is back below its peak',
});
