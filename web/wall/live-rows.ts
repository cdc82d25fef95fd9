import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { answeredOf } from '../../shared/model/alarms/answered.ts';
import type { NightRow, PlaceSummary } from '../../shared/wire/http.ts';
import { alarmsOfPlace, type Outlook, worstFirst } from '../bench/rank.ts';

/** What is said of a place as it is now: its night so far, and how it does at this moment. */
export type LiveRow = Omit<NightRow, 'exposures' | 'sentence' | 'harm' | 'facts'> & {
  readonly place: PlaceSummary;
  /** active or not seen, most urgent first */
  readonly alarms: readonly Alarm[];
};

const NOTHING_YET = { excursions: [], bands: [], coverage: 0 } as const;

/**
 * The rows of the night with the state of this moment, worst first: what the night says is minutes old, a state and an
 * acknowledgement are not. A place that the night does not know yet has an empty one.
 */
export function liveRows(
  night: readonly NightRow[],
  places: readonly PlaceSummary[],
  outlook: Outlook,
): LiveRow[] {
  const byId = new Map(night.map((row) => [row.placeId, row]));
  return worstFirst(places, outlook).map((place) => {
    const alarms = alarmsOfPlace(outlook.alarms, place.id, outlook.nowMs);
    const { excursions, bands, coverage } = byId.get(place.id) ?? NOTHING_YET;
    const { maxGapMs, zone } = place.settings;
    const { state, minutesLeft } = place.now;
    return {
      placeId: place.id,
      name: place.name,
      zone,
      state,
      minutesLeft,
      answered: answeredOf(alarms),
      excursions,
      bands,
      coverage,
      maxGapMs,
      place,
      alarms,
    };
  });
}
