import { duration } from '../../words/plain.ts';
import type { PastLimitFacts, UnmistedFacts } from '../facts.ts';
import { limitRule } from '../limit-rule.ts';
import { LIMIT_DEFAULTS, MINUTE_MS } from '../rule.ts';

/** So many intervals without a pulse, and so many minutes, are no chance. Proposals of the project. */
const MISSED_INTERVALS = 3;
const LEAST_DRY_MIN = 15;
/**
 * Where it is known how long the cuttings stand, the alarm comes after this share of the short end of the estimate: from
 * then on they stand at least as long again, in which somebody comes and mists by hand. PROPOSAL.
 */
const SHARE_OF_STANDING = 0.5;
/** Sooner than after so many intervals, and so many minutes, nothing need be wrong: a pulse may pass unseen. PROPOSAL. */
const LEAST_INTERVALS = 2;
const LEAST_SOONER_MIN = 10;

/**
 * How long mist may stay away in light, min: half of the shortest time that the cuttings are estimated to stand without
 * it, two intervals and 10 min at least; never longer than three intervals (15 min at least), after which the mist is at
 * fault whoever stands under it. Three intervals too where nothing is known of the cuttings.
 * @param patternMs usual time from pulse to pulse, ms
 * @param unmisted the batch that stands the shortest, as estimated; null or absent where nothing is known
 * @example dryLimitMin(600_000, { crop: 'Poinsettia', ageDays: 0, minutes: 90, low: 48 }) // 24, instead of 30
 */
export function dryLimitMin(patternMs: number, unmisted?: UnmistedFacts | null): number {
  const flat = Math.max((MISSED_INTERVALS * patternMs) / MINUTE_MS, LEAST_DRY_MIN);
  if (!unmisted) return flat;
  const least = Math.max((LEAST_INTERVALS * patternMs) / MINUTE_MS, LEAST_SOONER_MIN);
  return Math.min(flat, Math.max(SHARE_OF_STANDING * unmisted.low, least));
}

/** How its limit comes about, in words. */
export function dryLimitNote({ limit, unmisted }: PastLimitFacts): string {
  if (unmisted === undefined) return 'three of its usual intervals, 15 min at least';
  const minutes = (of: number) => duration(of * MINUTE_MS);
  const cuttings = `${unmisted.crop}, ${daysWords(unmisted.ageDays)}, may wilt after ${minutes(unmisted.low)} without mist in this air and light`;
  const isHalf = limit <= SHARE_OF_STANDING * unmisted.low + 1e-9;
  return isHalf ? `half the time: ${cuttings}` : `two of its usual intervals, 10 min at least: ${cuttings}`;
}

function daysWords(ageDays: number): string {
  const days = Math.floor(ageDays);
  if (days === 0) return 'stuck within the last 24 h';
  return `stuck ${days} ${days === 1 ? 'day' : 'days'} ago`;
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
  limitAt: ({ light, mistPatternMs = null, unmisted }) =>
    light && mistPatternMs !== null ? dryLimitMin(mistPatternMs, unmisted) : null,
  limitNote: dryLimitNote,
  range: { min: 5, max: 120, step: 1, begin: 30 },
  clause: { is: 'no mist', was: 'mist had stopped for a while' },
  active: ({ value }) => `no mist pulse for ${value} in light`,
  nowWorse: ({ value }) =>
    `now no mist for ${value} in light either: the leaves dry within minutes, then wilt`,
  cleared: 'misting has resumed',
});
