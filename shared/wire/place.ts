import type { Place } from '../model/place.ts';
import type { Targets } from '../model/targets.ts';
import type { SeriesQuantityName } from '../quantities.ts';
import type { CeilingAlarm } from '../rules/ceiling-alias.ts';

/** Quantities of a place as named in the outside interface. */
export type SeriesName = SeriesQuantityName;

/** Where a value lies; `unjudged` when the targets say nothing about the quantity. */
export type BandState = 'below' | 'within' | 'above' | 'over-ceiling' | 'saturated' | 'unjudged' | 'stale';

export type NowValue = {
  readonly value: number;
  readonly unit: string;
  /** RFC 3339, UTC */
  readonly at: string;
  readonly state: BandState;
  /** true when the value rests on an assumption (lux turned PPFD, assumed leaf offset) */
  readonly estimated: boolean;
};

export type PlaceNow = {
  readonly placeId: string;
  /** newest reading of any probe of the place, RFC 3339, or null before the first */
  readonly newestAt: string | null;
  readonly probesTelling: number;
  readonly probesAssigned: number;
  readonly quantities: Readonly<Partial<Record<SeriesName, NowValue>>>;
  /** true while a device of the place sends what it kept and is coming nearer to now; absent otherwise */
  readonly catchingUp?: boolean;
};

export type PlaceSummary = Place & {
  readonly settings: { readonly ceilingAlarm: CeilingAlarm };
  readonly now: PlaceNow;
  readonly targets: Targets;
  /** exposures before this, RFC 3339, stay as they were counted, whatever settings are changed: their readings went */
  readonly countedBefore?: string;
};
