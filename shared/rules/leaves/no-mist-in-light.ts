import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, MINUTE_MS } from '../rule.ts';

/** So many intervals without a pulse, and so many minutes, are no chance. Proposals of the project. */
const MISSED_INTERVALS = 3;
const LEAST_DRY_MIN = 15;

/**
 * How long mist may stay away in light, min: three intervals of its pattern, 15 min at least.
 * @param patternMs usual time from pulse to pulse, ms
 * @example dryLimitMin(600_000) // 30
 */
export function dryLimitMin(patternMs: number): number {
  return Math.max((MISSED_INTERVALS * patternMs) / MINUTE_MS, LEAST_DRY_MIN);
}

/** Mist that has stopped while leaves lose water. */
export const noMistInLight = limitRule({
  ...LIMIT_DEFAULTS,
  id: 'no-mist-in-light',
  name: 'no mist pulse in light',
  measured: 'time without mist',
  priority: 'high',
  respondWithinMin: 20,
  group: 'dry',
  waitsForAnswers: true,
  saysMore: true,
  heldOffByVent: true,
  inLight: true,
  cause: 'Usually a blocked filter or nozzle, a closed valve, or the mist timer.',
  consequence: 'The film on the leaves dries within minutes; in light they wilt.',
  action: 'Mist by hand, then check the valve, the water and the filter.',
  unit: 'min',
  sense: 'above',
  deadband: 0,
  onDelayMs: 0,
  offDelayMs: 0,
  watches: { each: 'place', quantities: ['mist/valve', 'air/temperature', 'air/humidity', 'leaf/wetness'] },
  limitAt: ({ light, mistPatternMs = null }) =>
    light && mistPatternMs !== null ? dryLimitMin(mistPatternMs) : null,
  limitNote: 'three of its usual intervals, 15 min at least',
  range: { min: 5, max: 120, step: 1, begin: 30 },
  clause: { is: 'no mist', was: 'mist had stopped for a while' },
  active: ({ value }) => `no mist pulse for ${value} in light`,
  nowWorse: ({ value }) =>
    `now no mist for ${value} in light either: the leaves dry within minutes, then wilt`,
  cleared: 'misting has resumed',
});
