import type { Targets } from '../../model/targets.ts';
import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS } from '../rule.ts';

/** Whether targets ask how long air may be saturated: else it is as it should be. */
export function asksOfSaturation({ alarms }: Pick<Targets, 'alarms'>): boolean {
  return alarms?.saturatedHours !== undefined;
}

/** Air that has been saturated for hours without a vent. */
export const saturatedTooLong = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'saturated-too-long',
  name: 'saturated too long',
  measured: 'time saturated',
  priority: 'low',
  respondWithinMin: 720,
  group: null,
  byTargets: true,
  cause: 'Usually closed vents and cool nights.',
  consequence: 'Rot and mould start within days.',
  action: 'Open vents or the cover for an hour or two, and look for mould.',
  unit: 'h',
  sense: 'above',
  deadband: 0,
  onDelayMs: 0,
  offDelayMs: 0,
  on: false,
  watches: { each: 'place', quantities: ['air/temperature', 'air/humidity'] },
  limitAt: ({ targets }) => targets.alarms?.saturatedHours ?? null,
  range: { min: 1, max: 72, step: 1, begin: 12 },
  clause: { is: 'saturated for long', was: 'saturated for long' },
  active: ({ value }) => `air saturated for ${value} since it was last vented`,
  cleared: 'the air is no longer saturated',
});
