import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { isTroubled, type Outlook } from '../rank.ts';

/** A card with its traces; one with what is wrong and what to do; or a line that unfolds. */
export type CardSize = 'full' | 'brief' | 'line';

/** So many cards are looked through one by one; of more the healthy ones become lines. */
const MOST_CARDS = { wide: 6, narrow: 2 };
/** Of many the worst keep a card, of their own width on a desk. */
const MOST_BRIEF = 3;

/**
 * How large each place is drawn: the more places and the healthier, the smaller; on a phone all of many are lines.
 * @param placesWorstFirst those that are shown
 */
export function sizesOf(
  placesWorstFirst: readonly PlaceSummary[],
  outlook: Outlook,
  screen: keyof typeof MOST_CARDS,
): ReadonlyMap<string, CardSize> {
  const isMany = placesWorstFirst.length > MOST_CARDS[screen];
  let briefs = screen === 'wide' ? MOST_BRIEF : 0;
  return new Map(
    placesWorstFirst.map((place): [string, CardSize] => {
      if (!isMany) return [place.id, 'full'];
      if (briefs === 0 || !isTroubled(place, outlook)) return [place.id, 'line'];
      briefs--;
      return [place.id, 'brief'];
    }),
  );
}
