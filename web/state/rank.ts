import type { Alarm } from '../../shared/model/alarm.ts';
import type { BandState, PlaceSummary } from '../../shared/wire/http.ts';
import { alarmRank, isStanding, needsHand } from './alarms.ts';

const STATE_WEIGHT: Readonly<Record<BandState, number>> = {
  'over-ceiling': 0,
  stale: 1,
  below: 2,
  above: 2,
  saturated: 4,
  within: 5,
  unjudged: 5,
};
const AFTER_ALARMS = 100;
const SECTION = ['airTemperatureC', 'airVpdKpa', 'rootZoneTemperatureC'] as const;

/** Standing alarms of a place, most urgent first. */
export function alarmsOfPlace(alarms: readonly Alarm[], placeId: string, nowMs: number): Alarm[] {
  return alarms
    .filter((alarm) => alarm.placeId === placeId && isStanding(alarm))
    .sort((a, b) => alarmRank(a, nowMs) - alarmRank(b, nowMs));
}

/** How much a place needs looking at: 0 is the worst. */
export function placeRank(place: PlaceSummary, alarms: readonly Alarm[], nowMs: number): number {
  const worst = alarmsOfPlace(alarms, place.id, nowMs)[0];
  if (worst && alarmRank(worst, nowMs) < 20) return alarmRank(worst, nowMs);
  const weights = SECTION.flatMap((name) => {
    const told = place.now.quantities[name];
    return told ? [STATE_WEIGHT[told.state]] : [];
  });
  return AFTER_ALARMS + Math.min(...weights, 6) * 10 - weights.filter((weight) => weight < 4).length;
}

/** Places, worst first; equal ones by name. */
export function worstFirst(
  places: readonly PlaceSummary[],
  alarms: readonly Alarm[],
  nowMs: number,
): PlaceSummary[] {
  const ranks = new Map(places.map((place) => [place.id, placeRank(place, alarms, nowMs)]));
  return [...places].sort(
    (a, b) =>
      (ranks.get(a.id) ?? 0) - (ranks.get(b.id) ?? 0) ||
      a.name.localeCompare(b.name, 'en', { numeric: true }),
  );
}

/** Whether a place has anything worth saying in the top line: an alarm, silence, or a layer out of its band. */
export function isTroubled(place: PlaceSummary, alarms: readonly Alarm[], nowMs: number): boolean {
  if (alarms.some((alarm) => alarm.placeId === place.id && isStanding(alarm))) return true;
  return placeRank(place, alarms, nowMs) < AFTER_ALARMS + 40;
}

/** How many places need a hand now. */
export function placesNeedingHand(
  places: readonly PlaceSummary[],
  alarms: readonly Alarm[],
  nowMs: number,
): number {
  return places.filter(({ id }) => alarms.some((alarm) => alarm.placeId === id && needsHand(alarm, nowMs)))
    .length;
}
