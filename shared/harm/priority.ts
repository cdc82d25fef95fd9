import type { HarmKind } from './scale.ts';

/** What may raise the priority of an active alarm. */
type StakeFacts = {
  readonly kind: HarmKind;
  /** harm of its kind in the last 24 h */
  readonly harm: number;
  /** harm of its kind an hour, now */
  readonly ratePerHour: number;
  /** until day begins, h; 0 by day */
  readonly hoursToDay: number;
};

/** With less left somebody is woken, min. Proposal. */
const WAKE_BELOW_MIN = 60;
/** From here on, while it grows, somebody is woken. Proposal. */
const WAKE_FROM = 0.5;
/** A night that would cost so much of a day wakes somebody for the root zone. Proposal. */
const NIGHT_COSTS = 0.25;

/** At the present rate, until a kind of harm reaches 1, min; 0 from then on; null where it does not grow. */
export function minutesLeftOf({
  harm,
  ratePerHour,
}: Pick<StakeFacts, 'harm' | 'ratePerHour'>): number | null {
  return ratePerHour > 0 ? (60 * Math.max(1 - harm, 0)) / ratePerHour : null;
}

/**
 * Whether harm makes an alarm one of high priority, whatever its rule says.
 * @example isAtStake({ kind: 'root-zone-below-band', harm: 0.05, ratePerHour: 1 / 24, hoursToDay: 6 }) // true
 */
export function isAtStake({ kind, harm, ratePerHour, hoursToDay }: StakeFacts): boolean {
  const minutesLeft = minutesLeftOf({ harm, ratePerHour });
  if (minutesLeft === null) return false;
  const costsTheNight = kind === 'root-zone-below-band' && harm + ratePerHour * hoursToDay >= NIGHT_COSTS;
  return minutesLeft < WAKE_BELOW_MIN || harm >= WAKE_FROM || costsTheNight;
}
