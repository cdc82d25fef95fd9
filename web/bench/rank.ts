import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { RULES } from '../../shared/rules/rules.ts';
import type { BandState, PlaceSummary } from '../../shared/wire/http.ts';
import { alarmRank, isActiveAlarm, needsHand, SHELVED_RANK } from '../alarms/alarms.ts';
import { LEAST_SILENCE_MS } from '../frame/apply.ts';

/** What places are weighed by; `coldAtRoot` holds the places whose root zone had a cold spell in the last day. */
export type Outlook = {
  readonly alarms: readonly Alarm[];
  readonly nowMs: number;
  readonly coldAtRoot: ReadonlySet<string>;
};

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
const WAS_COLD_WEIGHT = 3;
const NOTHING_WEIGHT = 6;
const SECTION = ['airTemperatureC', 'airVpdKpa', 'rootZoneTemperatureC'] as const;

/** Standing alarms of a place, most urgent first. */
export function alarmsOfPlace(alarms: readonly Alarm[], placeId: string, nowMs: number): Alarm[] {
  return alarms
    .filter((alarm) => alarm.placeId === placeId && isActiveAlarm(alarm))
    .sort((a, b) => alarmRank(a, nowMs) - alarmRank(b, nowMs));
}

/** How much a place needs looking at: 0 is the worst. */
export function placeRank(place: PlaceSummary, { alarms, nowMs, coldAtRoot }: Outlook): number {
  const worst = alarmsOfPlace(alarms, place.id, nowMs)[0];
  if (worst && alarmRank(worst, nowMs) < SHELVED_RANK) return alarmRank(worst, nowMs);
  const weights = SECTION.flatMap((name) => {
    const now = place.now.quantities[name];
    return now ? [STATE_WEIGHT[now.state]] : [];
  });
  const lightest = Math.min(...weights, coldAtRoot.has(place.id) ? WAS_COLD_WEIGHT : NOTHING_WEIGHT);
  return AFTER_ALARMS + lightest * 10 - weights.filter((weight) => weight < WAS_COLD_WEIGHT).length;
}

/** Places, worst first; equal ones by name. */
export function worstFirst(places: readonly PlaceSummary[], outlook: Outlook): PlaceSummary[] {
  const ranks = new Map(places.map((place) => [place.id, placeRank(place, outlook)]));
  return [...places].sort(
    (a, b) =>
      (ranks.get(a.id) ?? 0) - (ranks.get(b.id) ?? 0) ||
      a.name.localeCompare(b.name, 'en', { numeric: true }),
  );
}

/** Whether a place has anything worth saying in the top line: an alarm, silence, a layer out of its band, a cold night. */
export function isTroubled(place: PlaceSummary, outlook: Outlook): boolean {
  if (alarmsOfPlace(outlook.alarms, place.id, outlook.nowMs).length > 0) return true;
  return placeRank(place, outlook) <= AFTER_ALARMS + WAS_COLD_WEIGHT * 10;
}

/** Alarms of the house itself that nobody acknowledged or put aside, most urgent first. */
export function houseAlarms({ alarms, nowMs }: Omit<Outlook, 'coldAtRoot'>): Alarm[] {
  return alarms
    .filter(({ placeId, state }) => placeId === null && state.endsWith('unacknowledged'))
    .filter((alarm) => alarmRank(alarm, nowMs) < SHELVED_RANK)
    .sort((a, b) => alarmRank(a, nowMs) - alarmRank(b, nowMs));
}

/** How many places need attention now. */
export function placesNeedingHand(places: readonly PlaceSummary[], { alarms, nowMs }: Outlook): number {
  return places.filter((place) => {
    const ofPlace = alarms.filter((alarm) => alarm.placeId === place.id);
    return ofPlace.some((alarm) => needsHand(alarm, nowMs)) || isOverUnsaid(place, ofPlace);
  }).length;
}

/** Over its ceiling while the alarm still waits out its on-delay: nobody was asked for a hand yet. */
function isOverUnsaid(place: PlaceSummary, alarms: readonly Alarm[]): boolean {
  const deviation = alarms.some(({ rule, state }) => RULES[rule].group === 'heat' && state !== 'normal');
  return place.now.quantities.airTemperatureC?.state === 'over-ceiling' && !deviation;
}

/** Whether what was last told of a place may no longer hold: a value is minutes old, or an alarm says silence. */
export function mayBeSilent(place: PlaceSummary, { alarms, nowMs }: Omit<Outlook, 'coldAtRoot'>): boolean {
  const { quantities, probesTelling } = place.now;
  const isOld = Object.values(quantities).some(
    ({ at, state }) => state !== 'stale' && nowMs - Date.parse(at) > LEAST_SILENCE_MS,
  );
  const saysSilence = alarmsOfPlace(alarms, place.id, nowMs).some(
    ({ rule }) => RULES[rule].group === 'silence',
  );
  return isOld || (saysSilence && probesTelling > 0);
}
