import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS } from '../rule.ts';

/** A vent that was not closed again after this long was forgotten, h. Common practice, no source. */
const VENT_OPEN_H = 2;

/** A vent that was opened and not closed again. */
export const ventLeftOpen = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'vent-left-open',
  name: 'vent not closed again',
  measured: 'vent open for',
  priority: 'medium',
  respondWithinMin: 30,
  group: 'dry',
  cause: 'Usually it was forgotten.',
  consequence: 'Humidity stays low; leaves wilt in bright light within the hour.',
  action: 'Close it, and mist once.',
  unit: 'h',
  sense: 'above',
  deadband: 0,
  onDelayMs: 0,
  offDelayMs: 0,
  watches: { each: 'place', quantities: ['air/temperature', 'air/humidity'] },
  limitAt: () => VENT_OPEN_H,
  range: { min: 0.25, max: 12, step: 0.25, begin: 2 },
  clause: { is: 'a vent is open', was: 'a vent was left open' },
  active: ({ value }) => `a vent has been open for ${value}`,
  cleared: 'the vent is closed again',
});
