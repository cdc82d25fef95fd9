import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS } from '../rule.ts';

/** Mist pulses last seconds; so long on end is no pulse, min. Common practice, no source. */
const STUCK_ON_AFTER_MIN = 10;

/** A mist valve that stays open: cuttings stream with water, the medium cools and loses its air. */
export const mistStuckOn = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'mist-stuck-on',
  name: 'mist stuck on',
  measured: 'time the mist valve has been open',
  priority: 'medium',
  respondWithinMin: 60,
  group: null,
  fromFirst: true,
  cause: 'Usually dirt in the valve, its coil, or the mist timer.',
  consequence: 'The medium is soaked and cools; cuttings rot.',
  action: 'Shut the water off by hand, then check the valve and the timer.',
  unit: 'min',
  sense: 'above',
  deadband: 0,
  onDelayMs: 0,
  offDelayMs: 0,
  watches: { each: 'place', quantities: ['mist/valve'] },
  limitAt: () => STUCK_ON_AFTER_MIN,
  range: { min: 1, max: 120, step: 1, begin: STUCK_ON_AFTER_MIN },
  clause: { is: 'mist stuck on', was: 'mist was stuck on for a while' },
  active: ({ value }) => `the mist valve has been open for ${value}`,
  cleared: 'the mist valve is shut again',
});
