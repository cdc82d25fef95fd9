import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS } from '../rule.ts';
import { dryLimitMin, dryLimitNote } from './no-mist-in-light.ts';

/** A valve that opens without water: neither the air nor the leaf answers its pulses any more. */
export const mistWithoutWater = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'mist-without-water',
  name: 'mist without water',
  measured: 'time of mist pulses without water',
  priority: 'high',
  respondWithinMin: 20,
  group: 'dry',
  waitsForAnswers: true,
  saysMore: true,
  heldOffByVent: true,
  inLight: true,
  cause: 'Usually a closed tap, an empty tank, a pump that is off or a blocked filter.',
  consequence: 'The film on the leaves dries within minutes; in light they wilt.',
  action: 'Mist by hand, then check the water, the pump and the filter.',
  unit: 'min',
  sense: 'above',
  deadband: 0,
  onDelayMs: 0,
  offDelayMs: 0,
  watches: { each: 'place', quantities: ['mist/valve', 'air/temperature', 'air/humidity', 'leaf/wetness'] },
  limitAt: ({ light, mistPatternMs = null, unmisted }) =>
    light && mistPatternMs !== null ? dryLimitMin(mistPatternMs, unmisted) : null,
  limitNote: dryLimitNote,
  range: { min: 5, max: 120, step: 1, begin: 30 },
  clause: { is: 'mist without water', was: 'mist came without water for a while' },
  active: ({ value }) =>
    `the mist valve has been pulsing for ${value}, but humidity and leaf wetness do not respond`,
  cleared: 'the mist brings water again',
});
